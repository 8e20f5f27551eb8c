// Dry run: flow, motor current and vacuum together say for how long the pump has been on air. It is
// a one-sided CUSUM of log-likelihood ratios, air against fuel: it grows on air, falls faster on
// fuel, and never under 0, so that the short gulps of a rolling boat are forgiven. Where gulps come
// and go and add up, the tank is too low for this sea: the order waits. Pure; imports types.
// Sources: Page (1954), Biometrika 41, 100; for counts Lucas (1985), Technometrics 27, 129.

import type { Rig } from "../config/rig.ts";
import type { Moment, Quantity } from "./quantity.ts";

/** Of its pulses on fuel a meter gives so much on air (common practice, no source). */
const AIR_TURNS = { "positive-displacement": 0.05, turbine: 0.4 } as const;
/** A free pump moves no more air than that, give or take so much (invented). */
const AIR_BEYOND = 1.1;
/** Of its current on fuel a pump draws so much less on air (common practice, no source); a pulse
 * pump's coil draws what its driver gives it. */
const AIR_SAVES = { diaphragm: 0.15, vane: 0.12, gear: 0.18, "solenoid-pulse": 0 } as const;
/** Of the vacuum on fuel so much is gone on air: the column in the tube, and what the flow took. */
const VACUUM_GOES = 0.6;
/** A vacuum under it says nothing by going, kPa. */
const VACUUM_MIN_KPA = 3;
/**
 * How much each counts beside the meter. All tell of the same air, so that their ratios are no
 * independent ones; together they are less than the meter: fuel that flows is no dry run.
 */
const WEIGHT = { flow: 1, amps: 0.45, vacuum: 0.35 } as const;
/** For fuel they say no more than this: a meter that stands stops the pump whatever they say. */
const FOR_FUEL = 0.25;

const BLOCK_MS = 1_000;
/**
 * What fuel gives: more is learned sooner than less, which may be air, blocks. In the first blocks
 * after a prime the last of its air may still turn the meter: more is taken by half at once.
 */
const FLOW_UP = 10;
const FLOW_UP_AT_FIRST = 2;
const FLOW_DOWN = 900;
const SLOWLY = 60;
/** Nothing is learned while the sum is over this share of its limit. */
const LEARNS_UNDER = 0.25;

/** Pulses are few: their rate is smoothed over this, ms. */
const SMOOTH_MS = 500;
/** A gulp begins and ends at these shares of air, by the meter's last second. */
const GULP_AT = 0.35;
const GULP_ENDS_AT = 0.2;
/** Gulps come and go where so many ended within the window. */
const GULPS = 2;
/** Air of the last minute by the meter, in buckets. */
const BUCKET_MS = 5_000;
const BUCKETS = 12;
/** Air that bowl and hose have smeared: a second with less is fuel, one with more is air. */
const AIR_FROM = 0.15;
const AIR_ALL = 0.45;
/** Share of air so counted from which the sea is too much: tuned on the simulator (test/score). */
const TOO_LOW_SHARE = 0.33;
/** The same without gulps: a leak, or a level at the tube's end, that leaves some fuel. */
const STARVED_SHARE = 0.6;
/** Dry time in five minutes at which gulps have added up, before it is a trip, ms. */
const GULPS_MS = 27_000;
/** A sea takes its time to go down; nothing is seen of it while the pump is off, ms. */
const WAITS_MS = 45 * 60_000;

/** What is looked at. */
export interface DryReadings {
	readonly flowLph: Quantity;
	readonly motorAmps: Quantity;
	readonly vacuumKpa: Quantity;
	readonly pulses: number;
	readonly motorMs: number;
	/** Of the last five minutes, dry-budget.ts. */
	readonly dryMs: number;
}

/** What one rig's pump and meter do on fuel and on air. */
export interface DryPlan {
	readonly limitMs: number;
	/** Share of the pulses on fuel at which it is neither; and the ratio's slope over that. */
	readonly evenShare: number;
	readonly scale: number;
	readonly airTurns: number;
	readonly ampsSaved: number;
	readonly pulsesPerLitre: number;
	/** Flow under which it is dry, whatever was learned, L/h. */
	readonly flowMinLph: number;
}

export function planDryRun({ meter, pump, setpoints }: Rig): DryPlan {
	const airTurns = AIR_TURNS[meter.kind];
	// Of Poisson counts with means m and a m the ratio is m (1 - a) - n ln(1/a): 0 at this share.
	const evenShare = (1 - airTurns) / Math.log(1 / airTurns);
	return {
		limitMs: setpoints.dryRunDelayMs,
		evenShare,
		// A second on air counts as a second.
		scale: 1 / (1 - airTurns / evenShare),
		airTurns,
		ampsSaved: AIR_SAVES[pump.kind],
		pulsesPerLitre: meter.pulsesPerLitre,
		flowMinLph: Math.max(setpoints.dryFlowLph, AIR_BEYOND * airTurns * pump.freeFlowLph),
	};
}

/** What fuel gives with this pump today; 0 where it is not known. */
interface OnFuel {
	readonly blocks: number;
	readonly flowLph: number;
	readonly amps: number;
	readonly vacuumKpa: number;
}

export interface DryRun {
	/** What the evidence amounts to, in time on air alone, ms. */
	readonly airMs: number;
	readonly onFuel: OnFuel;
	/** Flow of the last moments by the meter's pulses, L/h. */
	readonly nowLph: number;
	/** When the last block ended. */
	readonly blockAtMs: number;
	readonly inGulp: boolean;
	/** When the last gulps ended, newest last. */
	readonly gulpsAtMs: readonly number[];
	/** Air and time of each bucket, newest last, ms. */
	readonly airs: readonly number[];
	readonly bucketMs: number;
	/** The order that waits for a calmer sea, and until when; null while none does. */
	readonly waits: { readonly run: string; readonly untilMs: number } | null;
}

const UNLEARNED: OnFuel = { blocks: 0, flowLph: 0, amps: 0, vacuumKpa: 0 };

export const NO_DRY_RUN: DryRun = {
	airMs: 0,
	onFuel: UNLEARNED,
	nowLph: 0,
	blockAtMs: 0,
	inGulp: false,
	gulpsAtMs: [],
	airs: [],
	bucketMs: 0,
	waits: null,
};

/** @returns the same object while the pump is off or primes */
export function followDryRun(
	before: DryRun,
	plan: DryPlan,
	readings: DryReadings,
	moment: Moment,
): DryRun {
	const { nowMs, motorOn, polishing, run } = moment;
	const { waits } = before;
	if (waits !== null && (nowMs >= waits.untilMs || waits.run !== run)) return NO_DRY_RUN;
	if (!polishing || !motorOn) {
		if (before === NO_DRY_RUN || before.blockAtMs === 0) return before;
		return waits === null ? NO_DRY_RUN : { ...NO_DRY_RUN, waits };
	}
	const { flowLph, motorAmps, vacuumKpa } = readings;
	if (before.blockAtMs === 0) {
		const { onFuel } = before;
		if (typeof flowLph !== "number") return { ...before, nowLph: 0, blockAtMs: nowMs };
		// The prime has just proven fuel: what it gives is known before any air can come.
		const primed = learn(onFuel, flowLph, motorAmps, vacuumKpa);
		return { ...before, onFuel: primed, nowLph: flowLph, blockAtMs: nowMs };
	}
	const nowLph = smooth(before.nowLph, plan, readings);
	const airMs = Math.max(0, before.airMs + evidenceMs(before.onFuel, nowLph, plan, readings));
	const next = {
		airMs,
		onFuel: before.onFuel,
		nowLph,
		blockAtMs: before.blockAtMs,
		inGulp: before.inGulp,
		gulpsAtMs: before.gulpsAtMs,
		airs: before.airs,
		bucketMs: before.bucketMs,
		waits,
	};
	const isWhole = nowMs - before.blockAtMs >= BLOCK_MS;
	const after = isWhole ? endBlock(next, plan, readings, nowMs) : next;
	if (run === null || !comeAndGo(after, nowMs)) {
		// Half fuel and half air wets the pump and polishes nothing.
		const isStarved = isWhole && airShare(after) > STARVED_SHARE;
		return isStarved ? { ...after, airMs: Math.max(airMs, plan.limitMs) } : after;
	}
	const isTooLow =
		airMs >= plan.limitMs || airShare(after) > TOO_LOW_SHARE || readings.dryMs > GULPS_MS;
	return isTooLow ? { ...NO_DRY_RUN, waits: { run, untilMs: nowMs + WAITS_MS } } : after;
}

function smooth(beforeLph: number, { pulsesPerLitre }: DryPlan, readings: DryReadings): number {
	const { pulses, motorMs } = readings;
	if (motorMs <= 0) return beforeLph;
	const lph = (pulses * 3_600_000) / (pulsesPerLitre * motorMs);
	return beforeLph + (lph - beforeLph) * Math.min(1, motorMs / SMOOTH_MS);
}

/** Air against fuel of one tick, ms: what a sensor that is fitted says, by its weight. */
function evidenceMs(
	onFuel: OnFuel,
	nowLph: number,
	plan: DryPlan,
	{ flowLph, motorAmps, vacuumKpa, motorMs }: DryReadings,
): number {
	let sum = 0;
	let weight = 0;
	if (typeof flowLph === "number") {
		const evenLph = Math.max(onFuel.flowLph * plan.evenShare, plan.flowMinLph);
		sum += WEIGHT.flow * Math.min(1, plan.scale * (1 - nowLph / evenLph));
		weight += WEIGHT.flow;
	}
	if (typeof motorAmps === "number" && plan.ampsSaved > 0 && onFuel.amps > 0) {
		sum += WEIGHT.amps * fallen(motorAmps, onFuel.amps, plan.ampsSaved);
		weight += WEIGHT.amps;
	}
	if (typeof vacuumKpa === "number" && onFuel.vacuumKpa > VACUUM_MIN_KPA) {
		sum += WEIGHT.vacuum * fallen(vacuumKpa, onFuel.vacuumKpa, VACUUM_GOES);
		weight += WEIGHT.vacuum;
	}
	return weight === 0 ? 0 : (motorMs * sum) / weight;
}

/** Ratio of two normal means, 1 at the one on air, 0 half way to it. */
function fallen(value: number, onFuel: number, share: number): number {
	const ratio = (2 * (onFuel - value)) / (share * onFuel) - 1;
	return Math.max(-FOR_FUEL, Math.min(1, ratio));
}

/** A second's end: fuel teaches what it gives, and the minute's air moves on. */
function endBlock(state: DryRun, plan: DryPlan, readings: DryReadings, nowMs: number): DryRun {
	const { flowLph, motorAmps, vacuumKpa } = readings;
	const { onFuel, airs } = state;
	const blockMs = nowMs - state.blockAtMs;
	const learns = state.airMs <= LEARNS_UNDER * plan.limitMs && typeof flowLph === "number";
	const now = learns ? learn(onFuel, flowLph, motorAmps, vacuumKpa) : onFuel;
	// What is kept as fuel's is near the highest of whole counts: half a pulse more than it is.
	const fuelLph = now.flowLph - 1_800_000 / (plan.pulsesPerLitre * blockMs);
	const lacks = typeof flowLph === "number" && fuelLph > 0 ? 1 - flowLph / fuelLph : 0;
	const air = lacks / (1 - plan.airTurns);
	const ends = state.inGulp && air < GULP_ENDS_AT;
	const airMs = blockMs * Math.max(0, Math.min(1, (air - AIR_FROM) / (AIR_ALL - AIR_FROM)));
	const isFull = state.bucketMs >= BUCKET_MS || airs.length === 0;
	const last = airs.at(-1) ?? 0;
	return {
		airMs: state.airMs,
		onFuel: now,
		nowLph: state.nowLph,
		blockAtMs: nowMs,
		inGulp: state.inGulp ? !ends : air > GULP_AT,
		gulpsAtMs: ends ? [...state.gulpsAtMs, nowMs].slice(-GULPS) : state.gulpsAtMs,
		airs: isFull ? [...airs, airMs].slice(-BUCKETS) : [...airs.slice(0, -1), last + airMs],
		bucketMs: isFull ? blockMs : state.bucketMs + blockMs,
		waits: state.waits,
	};
}

function learn(onFuel: OnFuel, flowLph: number, amps: Quantity, vacuumKpa: Quantity): OnFuel {
	const blocks = onFuel.blocks + 1;
	const upAfter = blocks <= FLOW_UP ? Math.min(blocks, FLOW_UP_AT_FIRST) : FLOW_UP;
	const gain = flowLph > onFuel.flowLph ? 1 / upAfter : 1 / FLOW_DOWN;
	const slow = 1 / Math.min(blocks, SLOWLY);
	return {
		blocks,
		flowLph: onFuel.flowLph + (flowLph - onFuel.flowLph) * gain,
		amps: typeof amps === "number" ? onFuel.amps + (amps - onFuel.amps) * slow : 0,
		vacuumKpa:
			typeof vacuumKpa === "number" ? onFuel.vacuumKpa + (vacuumKpa - onFuel.vacuumKpa) * slow : 0,
	};
}

function comeAndGo({ gulpsAtMs }: DryRun, nowMs: number): boolean {
	const first = gulpsAtMs[0] ?? 0;
	return gulpsAtMs.length === GULPS && nowMs - first < BUCKETS * BUCKET_MS;
}

/** Share of air that the meter missed of fuel in the last minute. */
function airShare({ airs }: DryRun): number {
	let airMs = 0;
	for (const ms of airs) airMs += ms;
	return airMs / (BUCKETS * BUCKET_MS);
}

/** The order waits until the sea has had time to go down. */
export const isTooLow = ({ waits }: DryRun): boolean => waits !== null;
