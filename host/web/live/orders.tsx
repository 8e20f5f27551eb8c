// Orders: polish, transfer and sweep as one form. The caution stands before anything can be given;
// an order that nobody attends first shows what the sensors do not cover.

import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import type { Rig } from "../../../firmware/config/rig.ts";
import { Button } from "../kit/button.tsx";
import { useChoices } from "../kit/choices.ts";
import { Choice, Field, Select, Tick } from "../kit/field.tsx";
import { Notice } from "../kit/notice.tsx";
import type { Deeds, SceneNow } from "../scene.ts";
import { measure, unitOf } from "../units.ts";
import { words } from "../words/words.ts";
import { Outcome, useAsking } from "./asking.tsx";
import { CoverageList } from "./coverage.tsx";
import { type Errors, emptyForm, type OrderForm, workFrom } from "./order-form.ts";

export interface OrdersProps {
	readonly scene: SceneNow;
	readonly deeds: Deeds;
	/** Does it, now or once the page is paired. */
	readonly withPairing: (deed: () => void) => void;
}

export function Orders({ scene, deeds, withPairing }: OrdersProps) {
	const { order } = words().live;
	const { rig, status } = scene;
	const asking = useAsking();
	if (rig === null) return <p>{order.rigUnknown}</p>;
	const isBusy = status !== null && status.order !== null;
	return (
		<>
			<Outcome asked={asking.asked} words={order} />
			{isBusy ? (
				<p>{order.busy}</p>
			) : (
				<Form
					rig={rig}
					isBench={scene.source === "bench"}
					isSending={asking.asked.is === "sending"}
					give={(work, isCoverageSeen) =>
						withPairing(() => void asking.ask(() => deeds.order(work, isCoverageSeen)))
					}
				/>
			)}
		</>
	);
}

interface FormProps {
	readonly rig: Rig;
	readonly isBench: boolean;
	readonly isSending: boolean;
	readonly give: Deeds["order"] extends (...args: infer A) => unknown
		? (...args: A) => void
		: never;
}

/** What the parts of the form share. */
interface Part {
	readonly form: OrderForm;
	readonly errors: Errors;
	readonly rig: Rig;
	readonly set: (change: Partial<OrderForm>) => void;
}

function Form({ rig, isBench, isSending, give }: FormProps) {
	const { order, coverage } = words().live;
	const taste = useChoices();
	const [first, second] = rig.tanks;
	const [form, setForm] = useState(() =>
		emptyForm(first?.name ?? "", (second ?? first)?.name ?? ""),
	);
	const [errors, setErrors] = useState<Errors>({});
	const set = (change: Partial<OrderForm>) => {
		setForm({ ...form, ...change });
		const changed = Object.keys(change).map((key) => [key, undefined]);
		setErrors({ ...errors, ...Object.fromEntries(changed) });
	};
	const part: Part = { form, errors, rig, set };
	const send = (event: SubmitEvent) => {
		event.preventDefault();
		const filled = workFrom(form, taste);
		if ("errors" in filled) {
			setErrors(filled.errors);
			const { currentTarget } = event;
			requestAnimationFrame(() => focusWrong(currentTarget));
			return;
		}
		give(filled.work, form.attended === "leaves" && form.seen);
	};
	return (
		<form class="order" onSubmit={send} noValidate>
			<Notice kind="caution">
				<p>{isBench ? order.benchCaution : order.caution}</p>
			</Notice>
			<Choice
				label={order.work}
				value={form.work}
				options={Object.entries(order.works)}
				hint={order.worksHelp[form.work]}
				onPick={(work) => set({ work: work as OrderForm["work"] })}
			/>
			{form.work === "polish" && <Polish {...part} />}
			{form.work === "transfer" && <Transfer {...part} />}
			{form.work === "sweep" && <Sweep {...part} />}
			<Choice
				label={order.attended}
				hint={order.attendedHint}
				value={form.attended}
				options={Object.entries(order.attendedChoices)}
				error={errors.attended}
				onPick={(attended) => set({ attended: attended as OrderForm["attended"] })}
			/>
			{form.attended === "leaves" && (
				<Notice kind="caution" title={coverage.heading}>
					<p>{order.unattended}</p>
					<CoverageList rig={rig} />
					<Tick
						label={order.seen}
						isOn={form.seen}
						error={errors.seen}
						onTurn={(seen) => set({ seen })}
					/>
				</Notice>
			)}
			<Button kind="main" submits isBusy={isSending}>
				{order.give(order.works[form.work])}
			</Button>
		</form>
	);
}

function focusWrong(form: EventTarget | null): void {
	if (!(form instanceof HTMLElement)) return;
	form.querySelector<HTMLElement>(".field-wrong :is(input, select)")?.focus();
}

function TankSelect({
	form,
	errors,
	rig,
	set,
	of,
	label,
}: Part & { of: "tank" | "to"; label: string }) {
	const taste = useChoices();
	const { tankOf } = words().live.order;
	const options = rig.tanks.map(
		({ name, volumeLitres }) =>
			[name, tankOf(name, measure("volume", volumeLitres, taste, 0))] as const,
	);
	return (
		<Select
			label={label}
			value={form[of]}
			options={options}
			error={errors[of]}
			onPick={(name) => set({ [of]: name })}
		/>
	);
}

type Typed =
	| "turnovers"
	| "amount"
	| "hours"
	| "dilution"
	| "level"
	| "dip"
	| "toDip"
	| "bursts"
	| "stand";

interface TypedProps extends Part {
	readonly of: Typed;
	readonly label: string;
	readonly unit?: string;
	readonly hint?: string;
	readonly isOptional?: boolean;
}

function Figure({ form, errors, set, of, label, unit, hint, isOptional = false }: TypedProps) {
	return (
		<Field
			label={label}
			kind="number"
			value={form[of]}
			hint={hint}
			error={errors[of]}
			isOptional={isOptional}
			{...(unit === undefined ? {} : { unit })}
			onType={(value) => set({ [of]: value })}
		/>
	);
}

function Polish(part: Part) {
	const { order } = words().live;
	const { units } = words().kit;
	const volume = unitOf("volume", useChoices());
	const { form, set } = part;
	const byGoal: Readonly<Record<OrderForm["goal"], ComponentChildren>> = {
		turnovers: <Figure {...part} of="turnovers" label={order.turnovers} />,
		litres: <Figure {...part} of="amount" label={order.amount} unit={volume} />,
		hours: <Figure {...part} of="hours" label={order.hours} unit={units.hours} />,
		targetDilution: (
			<Figure
				{...part}
				of="dilution"
				label={order.dilution}
				unit={units.percent}
				hint={order.dilutionHint}
			/>
		),
	};
	return (
		<>
			<TankSelect {...part} of="tank" label={order.tank} />
			<Select
				label={order.goal}
				value={form.goal}
				options={Object.entries(order.goals)}
				onPick={(goal) => set({ goal: goal as OrderForm["goal"] })}
			/>
			{byGoal[form.goal]}
			<Figure {...part} of="dip" label={order.dip} unit={volume} hint={order.dipHint} isOptional />
		</>
	);
}

function Transfer(part: Part) {
	const { order } = words().live;
	const { units } = words().kit;
	const volume = unitOf("volume", useChoices());
	const { form, set } = part;
	return (
		<>
			<TankSelect {...part} of="tank" label={order.from} />
			<TankSelect {...part} of="to" label={order.to} />
			<Select
				label={order.goal}
				value={form.transferGoal}
				options={Object.entries(order.transferGoals)}
				onPick={(goal) => set({ transferGoal: goal as OrderForm["transferGoal"] })}
			/>
			{form.transferGoal === "litres" && (
				<Figure {...part} of="amount" label={order.amount} unit={volume} />
			)}
			{form.transferGoal === "fillToPct" && (
				<Figure {...part} of="level" label={order.level} unit={units.percent} />
			)}
			<Figure
				{...part}
				of="dip"
				label={order.fromDip}
				unit={volume}
				hint={order.dipWhy}
				isOptional
			/>
			<Figure {...part} of="toDip" label={order.toDip} unit={volume} isOptional />
		</>
	);
}

function Sweep(part: Part) {
	const { order } = words().live;
	const { units } = words().kit;
	return (
		<>
			<TankSelect {...part} of="tank" label={order.tank} />
			<Figure {...part} of="bursts" label={order.bursts} hint={order.burstsHint} isOptional />
			<Figure {...part} of="stand" label={order.stand} unit={units.seconds} />
		</>
	);
}
