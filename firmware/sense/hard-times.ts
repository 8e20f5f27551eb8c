// For how long each reading has been past the interlock's hard mark. Counted leakily while the
// motor turns, so that flapping does not defeat it; while it is off, what counts is how it stands.

import type { Rig } from "../config/rig.ts";
import { INTERLOCK } from "../interlock.ts";
import { EMPTY_LEAKY, fill, hold, type Leaky } from "./leaky.ts";
import { isUnknown, type Quantity } from "./quantity.ts";
import type { HardTimes, Sensed } from "./sensed.ts";
import type { LoopValue } from "./supervised-loop.ts";

/** What it looks at: readings only. */
export type HardReadings = Pick<
	Sensed,
	| "stop"
	| "probe"
	| "tray"
	| "returnSeat"
	| "flowLph"
	| "motorAmps"
	| "supplyVolts"
	| "vacuumKpa"
	| "levelFrom"
	| "levelTo"
	| "caseC"
>;

export type HardState = Readonly<Record<keyof HardTimes, Leaky>>;

export const hardAtBoot: HardState = {
	probeWetMs: EMPTY_LEAKY,
	probeUnknownMs: EMPTY_LEAKY,
	stopUnknownMs: EMPTY_LEAKY,
	trayWetMs: EMPTY_LEAKY,
	returnOutMs: EMPTY_LEAKY,
	lowFlowMs: EMPTY_LEAKY,
	overAmpsMs: EMPTY_LEAKY,
	underVoltsMs: EMPTY_LEAKY,
	overVoltsMs: EMPTY_LEAKY,
	overVacuumMs: EMPTY_LEAKY,
	overFullMs: EMPTY_LEAKY,
	overHotMs: EMPTY_LEAKY,
};

/** The marks of one rig. */
export interface HardMarks {
	readonly flowMinLph: number;
	readonly ampsMax: number;
	readonly voltsMin: number;
	readonly voltsMax: number;
}

export function hardMarks({ pump, setpoints }: Rig): HardMarks {
	const batteries = pump.ratedVolts / 12;
	return {
		// Never above the detector's own limit, whatever a file makes of that.
		flowMinLph: Math.min(INTERLOCK.lowFlowShare * pump.freeFlowLph, setpoints.dryFlowLph),
		ampsMax: INTERLOCK.ampsShare * pump.runningAmps,
		voltsMin: INTERLOCK.voltsMin * batteries,
		voltsMax: INTERLOCK.voltsMax * batteries,
	};
}

/** @returns the same object while nothing is past a mark, and nothing was */
export function timeHard(
	before: HardState,
	marks: HardMarks,
	readings: HardReadings,
	motorOn: boolean,
	nowMs: number,
): HardState {
	if (before === hardAtBoot && !isAnyPast(readings, marks, motorOn)) return before;
	return timeAll(before, marks, readings, motorOn, nowMs);
}

/** Most ticks: a dozen comparisons, and nothing is made. */
function isAnyPast(readings: HardReadings, marks: HardMarks, motorOn: boolean): boolean {
	const { stop, probe, tray, returnSeat, motorAmps, supplyVolts, vacuumKpa, caseC } = readings;
	const loopsWell = stop === "made" && probe === "dry" && isWell(tray) && isWell(returnSeat);
	return !(
		loopsWell &&
		(!motorOn || under(readings.flowLph, marks.flowMinLph) === false) &&
		over(motorAmps, marks.ampsMax) === false &&
		under(supplyVolts, marks.voltsMin) === false &&
		over(supplyVolts, marks.voltsMax) === false &&
		over(vacuumKpa, INTERLOCK.vacuumKpaMax) === false &&
		isOverFull(readings) === false &&
		over(caseC, INTERLOCK.caseCMax) === false
	);
}

const isWell = (value: LoopValue) => value === "made" || value === "not-fitted";

function timeAll(
	before: HardState,
	marks: HardMarks,
	readings: HardReadings,
	motorOn: boolean,
	nowMs: number,
): HardState {
	const { stop, probe, tray, returnSeat, motorAmps, supplyVolts, vacuumKpa, caseC } = readings;
	let state = before;
	const count = motorOn ? fill : hold;
	const time = (name: keyof HardTimes, past: boolean | null) => {
		const was = before[name];
		const now = count(was, past, nowMs);
		if (now !== was) state = { ...state, [name]: now };
	};
	time("stopUnknownMs", isUnknown(stop));
	time("probeWetMs", isUnknown(probe) ? null : probe === "wet");
	time("probeUnknownMs", isUnknown(probe));
	time("trayWetMs", isWell(tray) ? false : isUnknown(tray) ? null : true);
	time("returnOutMs", isWell(returnSeat) ? false : isUnknown(returnSeat) ? null : true);
	// A meter that says nothing shows no fuel either.
	time("lowFlowMs", motorOn && under(readings.flowLph, marks.flowMinLph) !== false);
	time("overAmpsMs", over(motorAmps, marks.ampsMax));
	time("underVoltsMs", under(supplyVolts, marks.voltsMin));
	time("overVoltsMs", over(supplyVolts, marks.voltsMax));
	time("overVacuumMs", over(vacuumKpa, INTERLOCK.vacuumKpaMax));
	time("overFullMs", isOverFull(readings));
	time("overHotMs", over(caseC, INTERLOCK.caseCMax));
	return isEmpty(state) ? hardAtBoot : state;
}

/** Everything has leaked away again. */
function isEmpty(state: HardState): boolean {
	return Object.values(state).every(({ ms, seen }) => ms === 0 && seen === false);
}

/** What is not fitted is past nothing; what says nothing is not known. */
const over = (value: Quantity, mark: number) =>
	typeof value === "number" ? value > mark : value === "not-fitted" ? false : null;
const under = (value: Quantity, mark: number) =>
	typeof value === "number" ? value < mark : value === "not-fitted" ? false : null;

/** A full tank may be polished: it is full of its own fuel. Another tank's level is not its own. */
function isOverFull({ levelFrom, levelTo }: HardReadings): boolean | null {
	if (typeof levelTo !== "number") return levelTo === "not-fitted" ? false : null;
	if (levelTo <= INTERLOCK.fullShareMax) return false;
	return typeof levelFrom !== "number" || levelTo - levelFrom > INTERLOCK.levelGapMax;
}
