// What can break, a switch each, with the trips that answer it or why none does. A fault with a
// size has a slider beside its switch. Sensors have one fault at a time, picked by its kind.

import { useEffect, useState } from "preact/hooks";
import { notFitted } from "../../../firmware/config/optional-sensors.ts";
import type { Rig } from "../../../firmware/config/rig.ts";
import { type Fault, faultRows } from "../../../sim/faults.ts";
import {
	type FaultKind,
	faultKinds,
	faultsOf,
	type SensorChannel,
	sensorChannels,
} from "../../../sim/sensor-faults.ts";
import { Select, Tick } from "../kit/field.tsx";
import { Told } from "../kit/notice.tsx";
import { numeral } from "../units.ts";
import { words } from "../words/words.ts";
import { type FaultGroup, faultGroups, type WorldFault } from "./fault-groups.ts";
import { Slider } from "./slider.tsx";
import type { BenchDeed, WorldNow } from "./world.ts";
import { Part } from "./world-panel.tsx";

interface FaultsProps {
	readonly world: WorldNow;
	readonly rig: Rig;
	readonly act: (deed: BenchDeed) => void;
}

export function FaultsPanel({ world, rig, act }: FaultsProps) {
	const said = words().bench.faults;
	const broken = new Map(world.faults.map(({ fault, size }) => [fault, size]));
	const lacking: ReadonlySet<string> = new Set(notFitted(rig.sensors));
	const groups = Object.keys(faultGroups) as FaultGroup[];
	return (
		<>
			<p role="status">
				{broken.size === 0 ? said.none : said.count([...broken.keys()].map(nameOf).join("; "))}
			</p>
			{groups.map((group) => (
				<Part key={group} title={said.groups[group]}>
					{faultGroups[group].map((fault) => (
						<FaultSwitch
							key={fault}
							fault={fault}
							name={said.names[fault]}
							isOn={broken.has(fault)}
							act={act}
						/>
					))}
				</Part>
			))}
			<Part title={said.groups.sensors}>
				{sensorChannels.map((channel) => (
					<SensorPick
						key={channel}
						channel={channel}
						broken={broken}
						isFitted={!lacking.has(channel)}
						act={act}
					/>
				))}
			</Part>
		</>
	);
}

/** In words, as `Flow meter: wire cut`. */
function nameOf(fault: Fault): string {
	const { names, channels, kinds, sensor } = words().bench.faults;
	const own = names[fault as WorldFault];
	if (own !== undefined) return own;
	const at = fault.lastIndexOf("-");
	const channel = channels[fault.slice(0, at) as SensorChannel];
	return sensor(channel, kinds[fault.slice(at + 1) as FaultKind]);
}

interface SwitchProps {
	readonly fault: Fault;
	readonly name: string;
	readonly isOn: boolean;
	readonly act: (deed: BenchDeed) => void;
}

function FaultSwitch({ fault, name, isOn, act }: SwitchProps) {
	const { size } = faultRows[fault];
	const [amount, setAmount] = useState(size?.usual ?? 0);
	// It is done in one of the next ticks: until then the switch shows what was asked for.
	const [asked, setAsked] = useState<boolean | null>(null);
	useEffect(() => setAsked(null), [isOn]);
	const strike = (much: number) =>
		act(size === undefined ? { kind: "fault", fault } : { kind: "fault", fault, size: much });
	return (
		<div class="fault">
			<Tick
				label={name}
				isOn={asked ?? isOn}
				onTurn={(on) => {
					setAsked(on);
					if (on) strike(amount);
					else act({ kind: "crew", act: { does: "mend", fault } });
				}}
			/>
			{size !== undefined && (
				<SizeSlider
					fault={fault}
					name={name}
					value={amount}
					onSet={(much) => {
						setAmount(much);
						// What is poured in at once is poured in again by its switch alone.
						if (isOn && size.atOnce !== true) strike(much);
					}}
				/>
			)}
			<AnsweredBy fault={fault} />
		</div>
	);
}

interface SizeProps {
	readonly fault: Fault;
	readonly name: string;
	readonly value: number;
	readonly onSet: (value: number) => void;
}

function SizeSlider({ fault, name, value, onSet }: SizeProps) {
	const { size } = faultRows[fault];
	if (size === undefined) return null;
	const { faults } = words().bench;
	const step = stepOf(size.max - size.min);
	const digits = step < 1 ? 1 : 0;
	return (
		<Slider
			label={faults.size(name)}
			min={size.min}
			max={size.max}
			step={step}
			value={value}
			text={(much) => words().kit.withUnit(numeral(much, digits), unitOf(fault))}
			onSet={onSet}
		/>
	);
}

const stepOf = (range: number): number => (range > 60 ? 1 : 0.1);

function unitOf(fault: Fault): string {
	const { units } = words().bench.faults;
	const own = Object.hasOwn(units, fault) ? units[fault as keyof typeof units] : undefined;
	if (own !== undefined) return own;
	if (fault === "flow-pulse-drifts") return units.pulses;
	if (fault === "flow-pulse-noisy") return units.pulsesASecond;
	return fault === "acknowledge-button-noisy" ? units.presses : units.scale;
}

/** The trips that answer it, or why none does in the model's own words. */
function AnsweredBy({ fault }: { readonly fault: Fault }) {
	const { bench, rig } = words();
	const { trips, unseen = "" } = faultRows[fault];
	if (trips.length === 0) {
		return (
			<p class="hint">
				{bench.faults.unseen} <Told>{unseen}</Told>
			</p>
		);
	}
	const names = trips.map((code) => rig.trips[code]?.name ?? code);
	return <p class="hint">{bench.faults.answers(names.join(bench.faults.between))}</p>;
}

interface PickProps {
	readonly channel: SensorChannel;
	readonly broken: ReadonlyMap<Fault, number>;
	readonly isFitted: boolean;
	readonly act: (deed: BenchDeed) => void;
}

const SOUND = "sound";

function SensorPick({ channel, broken, isFitted, act }: PickProps) {
	const said = words().bench.faults;
	const possible = faultsOf(channel);
	const kinds = faultKinds.filter((kind) => possible[kind] !== null);
	const kind = kinds.find((one) => broken.has(possible[one] as Fault));
	const now = kind === undefined ? null : possible[kind];
	if (!isFitted) {
		return (
			<p class="hint">
				{said.channels[channel]}: {said.notFitted}
			</p>
		);
	}
	const pick = (key: string) => {
		if (now !== null) act({ kind: "crew", act: { does: "mend", fault: now } });
		const next = possible[key as FaultKind] ?? null;
		if (next === null) return;
		const size = faultRows[next].size?.usual;
		act({ kind: "fault", fault: next, ...(size === undefined ? {} : { size }) });
	};
	return (
		<div class="fault">
			<Select
				label={said.channels[channel]}
				value={kind ?? SOUND}
				options={[[SOUND, said.sound], ...kinds.map((one) => [one, said.kinds[one]] as const)]}
				onPick={pick}
			/>
			{now !== null && (
				<>
					<SizeSlider
						fault={now}
						name={said.channels[channel]}
						value={broken.get(now) ?? 0}
						onSet={(size) => act({ kind: "fault", fault: now, size })}
					/>
					<AnsweredBy fault={now} />
				</>
			)}
		</div>
	);
}
