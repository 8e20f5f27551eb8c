// The volts at each analog input in each state of its sensor, over the tolerance of its parts, and
// what a wire that touches 12 V does to it. Values come from the pin map; Ohm's law. Pure.

import type { Channel } from "../../firmware/config/pins.ts";
import { bridgeShare, loopShare, thermistorShare } from "../../sim/signals.ts";
import { endOf, type Netlist, ofKind } from "./netlist.ts";

/** Resistors and references of the parts list. */
const RESISTOR_SHARE = 0.01;
/** USB at the board: 5 V ± 5 %. */
export const REFERENCE_SHARE = 0.05;
/** Leakage of an input and of damp terminals, A (common practice, no source). */
const LEAKAGE_A = 1e-6;
/** Current that an input's own clamp diode may take, A (common practice, no source). */
export const CLAMP_A = 0.001;
const CLAMP_VOLTS = 0.5;
/** A 12 V wire while the battery is charged. */
export const TOUCH_VOLTS = 15;
/** The ends of what is read, and a warm room to measure in. */
const THERMISTOR_C = [130, 20, -35] as const;

export interface VoltRow {
	readonly channel: string;
	readonly state: string;
	/** Over all tolerances, V at a reference of 5 V. */
	readonly min: number;
	readonly max: number;
}

type Share = (low: number, high: number) => number;
/** Lowest and highest of a share whose resistors err against each other. */
function spread(share: Share): { min: number; max: number } {
	const errs = [1 - RESISTOR_SHARE, 1 + RESISTOR_SHARE];
	const all = errs.flatMap((a) => errs.map((b) => share(a, b)));
	return { min: Math.min(...all), max: Math.max(...all) };
}

function states(channel: Channel): Array<readonly [state: string, share: Share]> {
	if (channel.kind !== "analog" && channel.kind !== "converter") return [];
	const { loop, bridge, thermistor, gauge, level } = channel;
	if (loop !== undefined) {
		const at = (farOhm: number): Share => {
			return (up, far) =>
				loopShare(
					{
						pullUpOhm: loop.pullUpOhm * up,
						seriesOhm: loop.seriesOhm * far,
						endOfLineOhm: loop.endOfLineOhm * far,
					},
					farOhm,
				);
		};
		return [
			["wires shorted", () => 0],
			["contact closed", at(0)],
			["contact open", at(Number.POSITIVE_INFINITY)],
			["wire cut", () => 1],
		];
	}
	if (bridge !== undefined) {
		const at = (ohm: number, plus: boolean): Share => {
			return (drive, far) =>
				bridgeShare(
					{
						driveOhm: bridge.driveOhm * drive,
						seriesOhm: bridge.seriesOhm * far,
						boxOhm: bridge.boxOhm * far,
						endOfLineOhm: bridge.endOfLineOhm * far,
					},
					ohm,
					plus,
					!plus,
				);
		};
		// What is in the box stays in series when the probe's cable is shorted.
		const shorted = (plus: boolean): Share => {
			return (drive, far) => {
				const ohm = { box: bridge.boxOhm * far, drive: bridge.driveOhm * drive };
				return (plus ? ohm.box : ohm.drive) / (ohm.box + ohm.drive);
			};
		};
		return [
			["wires shorted, driven plus", shorted(true)],
			["salt water, driven plus", at(0, true)],
			["dry, driven plus", at(Number.POSITIVE_INFINITY, true)],
			["wire cut, driven plus", () => 1],
			["wire cut, driven minus", () => 0],
			["dry, driven minus", at(Number.POSITIVE_INFINITY, false)],
			["salt water, driven minus", at(0, false)],
			["wires shorted, driven minus", shorted(false)],
		];
	}
	if (thermistor !== undefined) {
		const at = (celsius: number): Share => {
			return (up) =>
				thermistorShare({ ...thermistor, pullUpOhm: thermistor.pullUpOhm * up }, celsius);
		};
		return [
			["wires shorted", () => 0],
			...THERMISTOR_C.map((c) => [`${c} °C`, at(c)] as const),
			["wire cut", () => 1],
		];
	}
	if (gauge !== undefined) {
		// The transducer drives a tenth to nine tenths of what feeds it.
		return [
			["-100 kPa", () => gauge.zeroShare - 100 / gauge.kpaPerShare],
			["0 kPa", () => gauge.zeroShare],
			["+100 kPa", () => gauge.zeroShare + 100 / gauge.kpaPerShare],
		];
	}
	if (level === undefined) return [];
	return [
		["tank empty", () => level.emptyShare],
		["tank full", () => level.fullShare],
	];
}

/** Every state of every analog input. */
export function voltRows({ pins }: Pick<Netlist, "pins">): VoltRow[] {
	const volts = pins.adc.referenceVolts;
	return Object.entries(pins.channels).flatMap(([channel, row]) =>
		states(row).map(([state, share]) => {
			const { min, max } = spread(share);
			return { channel, state, min: volts * min, max: volts * max };
		}),
	);
}

export function voltsInRange(list: Netlist): string[] {
	const { adc, channels } = list.pins;
	const rows = voltRows(list);
	const outside = rows
		.filter(({ min, max }) => min < 0 || max > adc.referenceVolts)
		.map(({ channel, state, min, max }) => `${channel}, ${state}: ${min} to ${max} V`);
	const unfed = ofKind(list, "gauge", "level-sender").filter((id) => {
		return list.netAt.get(`${id}.plus`) !== list.netAt.get("converter.reference");
	});
	return [
		...outside,
		...unfed.map((id) => `${id} is not fed by the 5 V that its converter compares with`),
		...Object.entries(channels).flatMap(([name, channel]) =>
			"loop" in channel && channel.loop !== undefined ? mixedUp(name, rows) : [],
		),
	];
}

/** Four states that a tolerance could take for each other, for a loop. */
function mixedUp(name: string, rows: readonly VoltRow[]): string[] {
	const own = rows.filter(({ channel }) => channel === name);
	return own.slice(1).flatMap((row, i) => {
		const before = own[i];
		if (before === undefined || row.min - before.max >= APART_VOLTS) return [];
		return [`${name}: ${before.state} and ${row.state} are not ${APART_VOLTS} V apart`];
	});
}
/** Noise, leakage and a dirty contact between two states of a loop, V (invented). */
const APART_VOLTS = 0.4;

/** Each wire that leaves the box for an analog input goes through a guard of enough ohms. */
export function inputsGuarded(list: Netlist): string[] {
	const high = list.pins.adc.referenceVolts * (1 - REFERENCE_SHARE);
	return Object.entries(list.pins.channels).flatMap(([name, { kind }]) => {
		if (kind !== "analog" && kind !== "converter") return [];
		const chip = kind === "analog" ? "board" : "converter";
		const net = list.netAt.get(`${chip}.${name}`);
		const ends = (net?.ends ?? []).filter((end) => end !== `${chip}.${name}`);
		const [only] = ends.map((end) => endOf(list, end));
		const isGuard = ends.length === 1 && only?.part.kind === "guard" && only.terminal === "pin";
		if (!isGuard) return [`${name}: something but its guard hangs on its pin`];
		const ohm = only.part.ohm ?? 0;
		const amps = touchAmps(ohm, high);
		if (amps > CLAMP_A) return [`${name}: 12 V on its wire drives ${amps} A into the pin`];
		return ohm * LEAKAGE_A > GUARD_ERROR_VOLTS ? [`${name}: its guard errs by its leakage`] : [];
	});
}
const GUARD_ERROR_VOLTS = 0.011;

/** Current into a pin whose wire touches a charged battery's plus, A. */
export const touchAmps = (ohm: number, referenceVolts: number): number =>
	(TOUCH_VOLTS - referenceVolts - CLAMP_VOLTS) / ohm;
