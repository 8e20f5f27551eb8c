// What shows over minutes and hours: the element's restriction, wax against dirt, sensors that
// drift and litres that do not add up. Looked at with the slow quantities; a sample of the suction
// side is the mean of ten seconds of settled pumping. Pure, plain JSON.

import type { Rig } from "../config/rig.ts";
import { type DriftState, driftAtBoot, driftOf, followDrift } from "./drift.ts";
import type { FlowState } from "./flow.ts";
import { KPA_PER_METRE } from "./fuel.ts";
import type { Moment, Quantity } from "./quantity.ts";
import { followRestriction, type RestrictionState } from "./restriction.ts";
import type { Sensed } from "./sensed.ts";
import type { SlowState } from "./slow-sense.ts";
import { elementDrop, type SuctionPlan } from "./suction-side.ts";
import type { VacuumBlocks } from "./vacuum-trend.ts";
import { imbalanceOf } from "./volume-balance.ts";
import { followPlugging, type PluggingSums } from "./wax-or-dirt.ts";

/** The suction side has settled after so long with fuel, ms. */
const SETTLED_MS = 30_000;
const SAMPLE_MS = 10_000;
const EVERY_MS = 1_000;
/** An element that takes so much less at once than before is another one, share of its range. */
const CHANGED_SHARE = 0.2;

export type LongSensed = Pick<
	Sensed,
	"restriction" | "plugging" | "pipeKpa" | "perReferred" | "drift" | "imbalance"
>;

/** Sums of a sample under way. */
interface Window {
	readonly fromMs: number;
	readonly fromCount: number;
	readonly sumKpa: number;
	readonly sumTapKpa: number;
	readonly count: number;
}

export interface LongState {
	/** When it was last looked at. */
	readonly atMs: number;
	readonly window: Window | null;
	/** What changes with a sample, a run or a drift only. */
	readonly kept: Kept;
}

interface Kept {
	/** When the last sample ended, the meter's count then, and the tank that it came from. */
	readonly sampledMs: number;
	readonly sampledTank: string | null;
	readonly sampledCount: number | null;
	/** Flow and vacuum of the last sample while pumping goes on. */
	readonly flowLph: number | null;
	readonly vacuumKpa: number | null;
	/** The meter's count at the first flow of the order. */
	readonly run: string | null;
	readonly runCount: number;
	readonly drift: DriftState;
	readonly sensed: LongSensed;
}

/** @param restriction what was last known of the element */
export const longAtBoot = (nowMs: number, restriction: RestrictionState | null): LongState => ({
	atMs: nowMs,
	window: null,
	kept: {
		sampledMs: nowMs,
		sampledTank: null,
		sampledCount: null,
		flowLph: null,
		vacuumKpa: null,
		run: null,
		runCount: 0,
		drift: driftAtBoot(nowMs),
		sensed: {
			restriction,
			plugging: null,
			pipeKpa: null,
			perReferred: null,
			drift: null,
			imbalance: null,
		},
	},
});

/** What the tick has already found out. */
export interface LongReading {
	readonly slow: SlowState;
	readonly blocks: VacuumBlocks;
	readonly flow: FlowState;
	readonly supplyVolts: Quantity;
	readonly motorAmps: Quantity;
	readonly buttonPressed: boolean;
}

/** @returns the same object until a second is over */
export function watchLong(
	rig: Rig,
	plan: SuctionPlan,
	before: LongState,
	reading: LongReading,
	moment: Moment,
): LongState {
	const { nowMs } = moment;
	if (reading.buttonPressed && before.kept.sensed.drift !== null) return forgiven(before, nowMs);
	if (nowMs - before.atMs < EVERY_MS) return before;
	const window = widen(rig, before.window, reading, nowMs);
	const isDone = window !== null && nowMs - window.fromMs >= SAMPLE_MS;
	let kept = followRun(before.kept, reading, moment);
	if (isDone) kept = takeSample(rig, plan, kept, window, reading, moment);
	else if (window === null && kept.flowLph !== null) {
		kept = { ...kept, flowLph: null, vacuumKpa: null };
	}
	if (nowMs >= kept.drift.dueMs) {
		const drift = followDrift(rig, kept.drift, driftReading(rig, plan, kept, reading, moment));
		kept = { ...kept, drift, sensed: { ...kept.sensed, drift: driftOf(drift) } };
	}
	const imbalance = imbalanceNow(rig, kept, reading, moment);
	if (imbalance !== kept.sensed.imbalance) {
		kept = { ...kept, sensed: { ...kept.sensed, imbalance } };
	}
	return { atMs: nowMs, window: isDone ? null : window, kept };
}

/** Whoever presses the box's button was told which sensor to check: its charts begin anew. */
function forgiven(before: LongState, nowMs: number): LongState {
	const sensed = { ...before.kept.sensed, drift: null };
	return { ...before, kept: { ...before.kept, drift: driftAtBoot(nowMs), sensed } };
}

/** The count at the first flow of an order; a board that started anew counts from nought. */
function followRun(kept: Kept, { flow }: LongReading, { polishing, motorOn, run }: Moment): Kept {
	const count = flow.last?.count ?? 0;
	const isAnew = count < kept.runCount;
	const isNewRun = polishing && motorOn && run !== null && run !== kept.run;
	if (!isAnew && !isNewRun) return kept;
	return { ...kept, run: isNewRun ? run : kept.run, runCount: count };
}

function imbalanceNow(
	rig: Rig,
	{ run, runCount }: Kept,
	{ slow, flow }: LongReading,
	{ polishing, sameTank, run: runNow, tank, toTank }: Moment,
): string | null {
	if (!polishing || sameTank || run === null || run !== runNow) return null;
	const named = (name: string | undefined) => rig.tanks.find((one) => one.name === name);
	const { fromMoved, toMoved } = slow.sensed;
	const litres = ((flow.last?.count ?? 0) - runCount) / rig.meter.pulsesPerLitre;
	return imbalanceOf(rig, { from: named(tank), to: named(toTank), fromMoved, toMoved, litres });
}

/** A second more of settled pumping; null while there is none. */
function widen(
	rig: Rig,
	was: Window | null,
	{ slow, blocks, flow }: LongReading,
	nowMs: number,
): Window | null {
	const { pumpingKpa, pumpingMs } = blocks;
	const count = flow.last?.count;
	if (pumpingKpa === null || pumpingMs < SETTLED_MS || count === undefined) return null;
	const { bowlTapKpa } = slow.sensed;
	const hasTap = rig.sensors.includes("bowl-tap");
	if (hasTap && typeof bowlTapKpa !== "number") return null;
	if (was === null || count < was.fromCount) {
		return { fromMs: nowMs, fromCount: count, sumKpa: 0, sumTapKpa: 0, count: 0 };
	}
	const tapKpa = typeof bowlTapKpa === "number" ? bowlTapKpa : 0;
	return {
		fromMs: was.fromMs,
		fromCount: was.fromCount,
		sumKpa: was.sumKpa + pumpingKpa,
		sumTapKpa: was.sumTapKpa + tapKpa,
		count: was.count + 1,
	};
}

/** What the window's ten seconds say of the suction side. */
function takeSample(
	rig: Rig,
	plan: SuctionPlan,
	before: Kept,
	window: Window,
	{ slow, flow }: LongReading,
	{ nowMs, tank, sameTank }: Moment,
): Kept {
	const { fuelC, levelFrom } = slow.sensed;
	const { pulsesPerLitre } = rig.meter;
	const count = flow.last?.count ?? window.fromCount;
	const litres = (count - window.fromCount) / pulsesPerLitre;
	const flowLph = (litres * 3_600_000) / (nowMs - window.fromMs);
	const vacuumKpa = window.sumKpa / window.count;
	const own = rig.tanks.find(({ name }) => name === tank);
	const depthM = (own?.depthMm ?? 600) / 1000;
	const depthShare = slow.rates.from.value;
	const drop = elementDrop(plan, {
		vacuumKpa,
		bowlTapKpa: rig.sensors.includes("bowl-tap") ? window.sumTapKpa / window.count : "not-fitted",
		flowLph,
		fuelC,
		dipM: typeof depthShare === "number" ? depthShare * depthM : null,
		depthM,
	});
	const done = { ...before, flowLph, vacuumKpa };
	if (drop === null) return done;
	const isCounted = before.sampledCount !== null && before.sampledCount <= count;
	const since = isCounted ? (count - (before.sampledCount ?? 0)) / pulsesPerLitre : 0;
	const share = typeof levelFrom === "number" ? Math.max(0.02, levelFrom) : 0.5;
	const held = share * (own?.volumeLitres ?? 200);
	const tankLitres = sameTank ? held : Number.POSITIVE_INFINITY;
	const { sensed } = before;
	const sample = { drop, litres: since, tankLitres };
	let restriction = followRestriction(rig, sensed.restriction, sample);
	let sums: PluggingSums | null = sensed.plugging;
	if (isAnother(rig, sensed.restriction, restriction)) {
		restriction = followRestriction(rig, null, sample);
		sums = null;
	}
	// A reading that lies off waits until it is known for what it is.
	if (restriction.odd === 0) {
		sums = followPlugging(rig, sums, {
			referredKpa: drop.referredKpa,
			fuelC,
			litres: since,
			seconds: (nowMs - before.sampledMs) / 1000,
			tankLitres,
			isNewTank: before.sampledTank !== (tank ?? null),
		});
	}
	const { pipeKpa, perReferred } = drop;
	return {
		...done,
		sampledMs: nowMs,
		sampledTank: tank ?? null,
		sampledCount: count,
		sensed: { ...sensed, restriction, plugging: sums, pipeKpa, perReferred },
	};
}

/** A step down that no pumping makes: the element was changed, or wax has melted off it. */
function isAnother(
	{ element }: Rig,
	before: RestrictionState | null,
	now: RestrictionState,
): boolean {
	if (before === null) return false;
	const range = element.changeAtKpa - element.cleanKpa;
	return before.steppedKpa - now.steppedKpa > CHANGED_SHARE * range;
}

function driftReading(
	rig: Rig,
	{ pumpHeightM }: SuctionPlan,
	{ flowLph, vacuumKpa }: Kept,
	{ slow, blocks, flow, supplyVolts, motorAmps }: LongReading,
	{ nowMs, polishing, sameTank, tank }: Moment,
) {
	const { fuelC, caseC, levelGap } = slow.sensed;
	const depthShare = slow.rates.from.value;
	const depthMm = rig.tanks.find(({ name }) => name === tank)?.depthMm;
	const isKnown = typeof depthShare === "number" && depthMm !== undefined;
	const depthM = isKnown ? (depthShare * depthMm) / 1000 : null;
	return {
		nowMs,
		offMs: flow.offMs,
		restKpa: blocks.restKpa,
		liftKpa: depthM === null ? null : KPA_PER_METRE * (pumpHeightM - depthM),
		depthKpa: depthM === null ? null : KPA_PER_METRE * depthM,
		motorAmps,
		levelGap: polishing && sameTank ? levelGap : null,
		fuelC,
		caseC,
		flowLph,
		vacuumKpa,
		supplyVolts,
	};
}
