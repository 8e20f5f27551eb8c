// Slow drift of the sensors, found by what must agree: vacuum at rest with the lift, the meter with
// what the pump gives at this vacuum and voltage, the current monitor's zero with a motor that is
// off, the two level senders in one tank, and two thermometers after a long rest. A tabular CUSUM
// each (Page, Biometrika 41 (1954) 100-115) over one value in five minutes, in units of what is let
// pass: nothing adds up within it, and no single reading signals. Pure, plain JSON.

import type { Rig } from "../config/rig.ts";
import { type CusumState, cusumAtStart, cusumSignal, cusumStep } from "./control-chart.ts";
import type { Quantity } from "./quantity.ts";

const EVERY_MS = 300_000;
/** Slack of one tolerance; four more in all is a drift. A value counts for three at most. */
const PLAN = { slack: 1, limit: 4 };
const VALUE_MAX = 3;
/** After the stop the column in the tube hangs still, and the monitor has settled, ms. */
const AT_REST_MS = 60_000;
/** Hose and motor have both come to the air's temperature, ms (common practice, no source). */
const LONG_REST_MS = 3 * 3_600_000;
/** What the return takes of the pump's head, kPa, and a dead head that nobody states (invented). */
const RETURN_KPA = 6;
const DEAD_HEAD_KPA = 150;
/** A pulse pump's stroke hardly follows the voltage, any other's speed does (common practice). */
const PULSE_BY_VOLTS = 0.3;

export const drifting = ["vacuum", "flow", "current", "levels", "warmth"] as const;
export type Drifting = (typeof drifting)[number];

/** What is let pass: kPa, logarithm of the flow, A, share of the volume, K. */
const TOLERANCE: Readonly<Record<Drifting, number>> = {
	vacuum: 3,
	flow: 0.15,
	current: 0.06,
	levels: 0.025,
	warmth: 10,
};

/** Which sensor it is that goes astray, and what to look at. */
const WORDS: Readonly<Record<Drifting, string>> = {
	vacuum: "vacuum at rest is not the lift: check the gauge's zero, open to the air",
	flow: "flow-pulse is not what the pump gives: check the meter with a can, then pump and air",
	current: "motor-current is not 0 A at rest: check the monitor's zero",
	levels: "level-from and level-to differ in one tank: dip it and check both senders",
	warmth: "fuel-temperature and case-temperature differ after a rest: check both thermistors",
};

export interface DriftState {
	readonly dueMs: number;
	readonly charts: Readonly<Record<Drifting, CusumState>>;
}

const AT_START = cusumAtStart(PLAN);

export const driftAtBoot = (nowMs: number): DriftState => ({
	dueMs: nowMs + EVERY_MS,
	charts: {
		vacuum: AT_START,
		flow: AT_START,
		current: AT_START,
		levels: AT_START,
		warmth: AT_START,
	},
});

/** What can be compared at one moment. */
export interface DriftReading {
	readonly nowMs: number;
	/** Time since the motor was switched off, ms; 0 while it is on. */
	readonly offMs: number;
	readonly restKpa: number | null;
	/** Column from the fuel up to the pump, kPa; null where no level tells. */
	readonly liftKpa: number | null;
	/** Weight of the fuel over the tube's end: air that is shut in above it is pressed by so much. */
	readonly depthKpa: number | null;
	readonly motorAmps: Quantity;
	/** Both senders in one tank, share; null while they are not, and while no fuel is pumped. */
	readonly levelGap: number | null;
	readonly fuelC: Quantity;
	readonly caseC: Quantity;
	/** Over the last seconds of settled pumping; null while there are none. */
	readonly flowLph: number | null;
	readonly vacuumKpa: number | null;
	readonly supplyVolts: Quantity;
}

/** @returns the same object until five minutes are over */
export function followDrift(rig: Rig, before: DriftState, reading: DriftReading): DriftState {
	if (reading.nowMs < before.dueMs) return before;
	const { charts } = before;
	const next = (name: Drifting, off: number | null): CusumState => {
		if (off === null) return charts[name];
		const value = off / TOLERANCE[name];
		return cusumStep(PLAN, charts[name], Math.max(-VALUE_MAX, Math.min(VALUE_MAX, value)));
	};
	return {
		dueMs: reading.nowMs + EVERY_MS,
		charts: {
			vacuum: next("vacuum", vacuumOff(reading)),
			flow: next("flow", flowOff(rig, reading)),
			current: next("current", currentOff(reading)),
			levels: next("levels", reading.levelGap),
			warmth: next("warmth", warmthOff(reading)),
		},
	};
}

/** The first that has drifted, in words; null while none has. */
export function driftOf({ charts }: DriftState): string | null {
	for (const name of drifting) {
		if (cusumSignal(PLAN, charts[name]) !== null) return WORDS[name];
	}
	return null;
}

/** A column may have run back in part, or never have been there: what lies between is good. */
function vacuumOff({ offMs, restKpa, liftKpa, depthKpa }: DriftReading): number | null {
	if (offMs < AT_REST_MS || restKpa === null || liftKpa === null || depthKpa === null) return null;
	if (restKpa < 0) return Math.min(0, restKpa + depthKpa);
	return Math.max(0, restKpa - Math.max(0, liftKpa));
}

function currentOff({ offMs, motorAmps }: DriftReading): number | null {
	return offMs >= AT_REST_MS && typeof motorAmps === "number" ? motorAmps : null;
}

function warmthOff({ offMs, fuelC, caseC }: DriftReading): number | null {
	if (offMs < LONG_REST_MS || typeof fuelC !== "number" || typeof caseC !== "number") return null;
	return fuelC - caseC;
}

/** Logarithm of the metered flow over the pump's line: free flow less what the head takes. */
function flowOff({ pump }: Rig, reading: DriftReading): number | null {
	const { flowLph, vacuumKpa, supplyVolts } = reading;
	if (flowLph === null || vacuumKpa === null || typeof supplyVolts !== "number") return null;
	const byVolts = pump.kind === "solenoid-pulse" ? PULSE_BY_VOLTS : 1;
	const free = pump.freeFlowLph * (1 + byVolts * (supplyVolts / pump.ratedVolts - 1));
	const head = (vacuumKpa + RETURN_KPA) / (pump.deadHeadKpa ?? DEAD_HEAD_KPA);
	const given = free * (1 - head);
	// Near its dead head a pump's line is no measure.
	if (head > 0.5 || flowLph <= 0) return null;
	return Math.log(flowLph / given);
}
