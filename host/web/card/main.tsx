// The leave-it card: one sheet to print, filled in with the rig and the order that the controller
// has, and with blank lines for what a hand writes.

import { useEffect, useState } from "preact/hooks";
import type { Rig } from "../../../firmware/config/rig.ts";
import { coverageOf } from "../../../firmware/cycle/coverage.ts";
import { Button } from "../kit/button.tsx";
import { useChoices } from "../kit/choices.ts";
import { Page } from "../kit/page.tsx";
import { startPage } from "../kit/start.tsx";
import { Feed } from "../live/feed.ts";
import type { SceneNow } from "../scene.ts";
import { measure, numeral } from "../units.ts";
import { words } from "../words/words.ts";
import "./card.css";
import { cardWords } from "./card-words.ts";

type Order = NonNullable<NonNullable<SceneNow["status"]>["order"]>;

function Card() {
	const card = cardWords();
	const [scene, setScene] = useState<SceneNow | null>(null);
	useEffect(() => {
		const feed = new Feed((heard) => setScene(heard.scene));
		return () => feed.close();
	}, []);
	const rig = scene?.rig ?? null;
	const order = scene?.status?.order ?? null;
	return (
		<Page at="card">
			<div class="card-aside">
				<p>{card.intro}</p>
				<p>{rig === null ? card.blank : card.filled}</p>
				<div class="row">
					<Button kind="main" onPress={() => print()}>
						{card.print}
					</Button>
					<p class="hint">{card.paper}</p>
				</div>
			</div>
			<article class="sheet">
				<h1>{card.title}</h1>
				<p class="sheet-caution">
					<strong>{words().kit.caution}: </strong>
					{card.caution}
				</p>
				{rig?.invented === true && <p>{card.invented}</p>}
				<div class="sheet-columns">
					<div>
						<Facts rig={rig} order={order} />
						<Steps title={card.check.heading} steps={card.check.steps} isTicked />
					</div>
					<div>
						<div class="alarm-steps">
							<Steps title={card.alarm.heading} steps={card.alarm.steps} />
						</div>
						<Gaps rig={rig} />
						<Blanks title={card.call.heading} names={card.call.who} />
						<Blanks title={card.sign.heading} names={card.sign.who} />
					</div>
				</div>
				<Trips />
			</article>
		</Page>
	);
}

/** A line for a hand, with what is known on it. */
function Line({ name, value }: { readonly name: string; readonly value?: string | null }) {
	return (
		<div class="line">
			<dt>{name}</dt>
			<dd>{value ?? ""}</dd>
		</div>
	);
}

function Facts({ rig, order }: { readonly rig: Rig | null; readonly order: Order | null }) {
	const card = cardWords();
	const { facts } = card;
	const { units, withUnit } = words().kit;
	const taste = useChoices();
	const pump = rig?.pump;
	const minutes = (value: number) => withUnit(numeral(value, 0), units.minutes);
	const runs =
		pump === undefined
			? null
			: facts.pumpRuns(minutes(pump.runMinutesMax), minutes(pump.restMinutes));
	const volume = (litres: number) => measure("volume", litres, taste, 0);
	const tanks = rig?.tanks ?? [];
	const blanks = ["1", "2", "3"];
	return (
		<section>
			<h2>{facts.heading}</h2>
			<dl>
				<Line name={facts.boat} />
				<Line name={facts.date} />
				<Line name={facts.rig} value={rig?.rig ?? null} />
				<Line name={facts.order} value={order === null ? null : orderText(order, volume)} />
				<Line name={facts.pump} value={runs} />
				<Line
					name={facts.element}
					value={rig === null ? null : withUnit(String(rig.element.ratingMicron), units.microns)}
				/>
			</dl>
			<table>
				<thead>
					<tr>
						<th scope="col">{facts.tank}</th>
						<th scope="col">{facts.dip}</th>
					</tr>
				</thead>
				<tbody>
					{tanks.map(({ name, volumeLitres }) => (
						<tr key={name}>
							<th scope="row">{facts.tankOf(name, volume(volumeLitres))}</th>
							<td class="blank" />
						</tr>
					))}
					{rig === null &&
						blanks.map((key) => (
							<tr key={key}>
								<td class="blank" />
								<td class="blank" />
							</tr>
						))}
				</tbody>
			</table>
		</section>
	);
}

function orderText(order: Order, volume: (litres: number) => string): string {
	const { facts } = cardWords();
	const { rig, kit } = words();
	const { tank, toTank, goalLitres, goalHours } = order;
	const work = rig.work[order.work] ?? rig.noWord;
	const what = toTank === null ? facts.workAt(work, tank) : facts.workInto(work, tank, toTank);
	const hours = (value: number) => kit.withUnit(numeral(value, 1), kit.units.hours);
	if (goalLitres !== null) return `${what} ${facts.until(volume(goalLitres))}`;
	return goalHours === null ? what : `${what} ${facts.until(hours(goalHours))}`;
}

interface StepsProps {
	readonly title: string;
	readonly steps: readonly string[];
	/** Each gets a box for a tick. */
	readonly isTicked?: boolean;
}

function Steps({ title, steps, isTicked = false }: StepsProps) {
	return (
		<section>
			<h2>{title}</h2>
			<ol class={isTicked ? "steps steps-ticked" : "steps"}>
				{steps.map((step) => (
					<li key={step}>{step}</li>
				))}
			</ol>
		</section>
	);
}

/** What its sensors do not cover; which of them keep it from being left alone. */
function Gaps({ rig }: { readonly rig: Rig | null }) {
	const card = cardWords();
	const { rig: said } = words();
	const gaps = rig === null ? [] : coverageOf(rig).filter(({ covered }) => !covered);
	return (
		<section>
			<h2>{card.coverage.heading}</h2>
			{rig === null && (
				<>
					<p>{card.coverage.unknown}</p>
					<dl>
						<Line name="" />
						<Line name="" />
					</dl>
				</>
			)}
			{rig !== null && gaps.length === 0 && <p>{card.coverage.none}</p>}
			{gaps.length > 0 && (
				<ul class="steps">
					{gaps.map(({ hazard }) => (
						<li key={hazard}>{said.hazards[hazard] ?? said.noWord}</li>
					))}
				</ul>
			)}
			{gaps.some(({ unattended }) => unattended) && (
				<p>
					<strong>{card.coverage.mayNot}</strong>
				</p>
			)}
			<p>{card.coverage.always}</p>
		</section>
	);
}

function Blanks({ title, names }: { readonly title: string; readonly names: readonly string[] }) {
	return (
		<section>
			<h2>{title}</h2>
			<dl>
				{names.map((name) => (
					<Line key={name} name={name} />
				))}
			</dl>
		</section>
	);
}

function Trips() {
	const card = cardWords();
	const { rig } = words();
	return (
		<section>
			<h2>{card.trips.heading}</h2>
			<p>{card.trips.atBox}</p>
			<ul class="sheet-trips">
				{Object.entries(rig.trips).map(([code, { name, steps }]) => (
					<li key={code}>
						<strong>{name}.</strong> {steps.join(" ")}
					</li>
				))}
			</ul>
		</section>
	);
}

startPage("card", () => <Card />);
