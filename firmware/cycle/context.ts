// What the statechart remembers beside its state, and the pure rules over it: open trips, the
// pump's duty, the time an order has been at work. Plain JSON.

import type { Rig } from "../config/rig.ts";
import type { Present } from "./events.ts";
import { type HoldCause, RESUMES_MAX, RESUMES_WITHIN_MS } from "./holds.ts";
import { type Order, permitBlockers, silentBlockers, startBlockers } from "./orders.ts";
import { type Place, type TripCode, trips } from "./trips.ts";

export interface OpenTrip {
	readonly code: TripCode;
	readonly cause: string;
	readonly atMs: number;
	/** The probe was seen to go from wet to dry since the trip. */
	readonly drainSeen: boolean;
}

export type StartReason = "ordered" | "rested" | "stood" | "acknowledged" | "released";

export interface CycleContext {
	readonly order: Order | null;
	/** Worst first. */
	readonly trips: readonly OpenTrip[];
	/** Acknowledged, but cleared only by the next passed prime. */
	readonly unproven: readonly TripCode[];
	readonly startReason: StartReason;
	/** Tries without fuel since the last fuel, order or acknowledgement. */
	readonly primeTry: number;
	/** After a dry try the pump rests until then, whatever happens in between. */
	readonly dryRestUntilMs: number;
	/** When water last reached the probe; null before it ever did. */
	readonly lastWaterMs: number | null;
	/** Time the order has been at work, rests counted and trips not, ms. */
	readonly workedMs: number;
	readonly workingSinceMs: number | null;
	/** Run time that the pump's rating has not forgiven yet, ms, as of `dutyAtMs`. */
	readonly dutyMs: number;
	readonly dutyAtMs: number;
	readonly pumping: boolean;
	/** The motor's case asks for a rest, whatever the clock says. */
	readonly motorWarm: boolean;
	/** The rest that is under way is long enough by the clock. */
	readonly rested: boolean;
	/** Fuel was proven in this burst. */
	readonly burstProven: boolean;
	/** Bursts in a row, each with its stand, that brought no water to the probe. */
	readonly dryBursts: number;
	/** What the order waits for, or waited for last. */
	readonly heldFor: readonly HoldCause[];
	/** When it has gone on by itself after a hold, or a rest that came too early, ms; the last. */
	readonly resumedMs: readonly number[];
}

/** Time from one acknowledgement of water to the next water, in which an inspection is due, ms. */
const WATER_AGAIN_MS = 600_000;

export const contextAtBoot: CycleContext = {
	order: null,
	trips: [],
	unproven: [],
	startReason: "ordered",
	primeTry: 0,
	dryRestUntilMs: 0,
	lastWaterMs: null,
	workedMs: 0,
	workingSinceMs: null,
	dutyMs: 0,
	dutyAtMs: 0,
	pumping: false,
	motorWarm: false,
	rested: false,
	burstProven: false,
	dryBursts: 0,
	heldFor: [],
	resumedMs: [],
};

/**
 * What a restart carries over. There is no clock that runs while it is off: after a run that was
 * interrupted the pump counts as run to its rating and dry, and water as seen a moment ago.
 */
export function contextAfter(
	{ interrupted, waterLately }: { interrupted: boolean; waterLately: boolean },
	rig: Rig,
	nowMs: number,
): CycleContext {
	const { dryRunSecondsMax, runMinutesMax } = rig.pump;
	const worn = { dutyMs: runMinutesMax * 60_000, dryRestUntilMs: nowMs + dryRunSecondsMax * 1000 };
	return {
		...contextAtBoot,
		dutyAtMs: nowMs,
		lastWaterMs: waterLately ? nowMs : null,
		...(interrupted ? worn : {}),
	};
}

/** The context with a trip opened, or its drain forgotten when it is open already. */
export function withTrip(
	context: CycleContext,
	code: TripCode,
	cause: string,
	atMs: number,
	drainSeen = false,
): Pick<CycleContext, "trips"> {
	const others = context.trips.filter((trip) => trip.code !== code);
	const open = [...others, { code, cause, atMs, drainSeen }];
	open.sort((a, b) => trips[b.code].severity - trips[a.code].severity);
	return { trips: open };
}

/** Whether an order that is interrupted by these trips goes on after their acknowledgement. */
export function orderSurvives(context: CycleContext): boolean {
	return (
		context.order !== null && context.trips.every((trip) => trips[trip.code].afterwards === "go on")
	);
}

/** Why an acknowledgement is refused now; empty when it clears all open trips. */
export function acknowledgeBlockers(
	context: CycleContext,
	{ from, pressedMs, present }: { from: Place; pressedMs: number; present: Present },
): string[] {
	const reasons = context.trips.flatMap((trip) => {
		const row = trips[trip.code];
		if (trip.atMs > pressedMs) return [`${trip.code} came after the acknowledgement`];
		const still = row.stillThere(present, trip.drainSeen);
		const wrongPlace = row.acknowledgeAt === "box" && from !== "box";
		const where = wrongPlace ? [`${trip.code} is acknowledged at the box only`] : [];
		return still === null ? where : [...where, `${trip.code}: ${still}`];
	});
	if (reasons.length > 0 || !orderSurvives(context)) return reasons;
	return goOnBlockers(context, present);
}

/** Why the order may not (re)start now; empty when it may. */
export function goOnBlockers(context: CycleContext, present: Present): string[] {
	const { order } = context;
	if (order === null) return startBlockers(present);
	const permits = [...permitBlockers(order, present), ...silentBlockers(order, present)];
	return [...startBlockers(present, order), ...permits];
}

/** Brings the duty up to `atMs` and notes whether the pump runs from then on. */
export function withPump(
	context: CycleContext,
	rig: Rig,
	pumping: boolean,
	atMs: number,
): Partial<CycleContext> {
	return { dutyMs: dutyMs(context, rig, atMs), dutyAtMs: atMs, pumping };
}

/**
 * Run time used up at `atMs`: it grows while pumping, and is forgiven while not at the rate at
 * which a full rest forgives a full run. A rating without rest forgives at once.
 */
function dutyMs(context: CycleContext, rig: Rig, atMs: number): number {
	const elapsed = atMs - context.dutyAtMs;
	if (context.pumping) return context.dutyMs + elapsed;
	const { runMinutesMax, restMinutes } = rig.pump;
	if (restMinutes === 0) return 0;
	return Math.max(0, context.dutyMs - (elapsed * runMinutesMax) / restMinutes);
}

/** How long the pump may still run at `atMs`, ms. */
export function dutyLeftMs(context: CycleContext, rig: Rig, atMs: number): number {
	return Math.max(0, Math.floor(rig.pump.runMinutesMax * 60_000 - dutyMs(context, rig, atMs)));
}

/** A start must find the motor cool, and the clock satisfied. */
export function mustRest(context: CycleContext, rig: Rig, atMs: number): boolean {
	return context.motorWarm || isWorn(context, rig, atMs);
}

/** A start must leave the pump time for one whole prime, and respect the rest after a dry one. */
function isWorn(context: CycleContext, rig: Rig, atMs: number): boolean {
	const primeMs = Math.min(rig.pump.dryRunSecondsMax * 1000, rig.pump.runMinutesMax * 60_000);
	return dutyLeftMs(context, rig, atMs) < primeMs || context.dryRestUntilMs > atMs;
}

/** How long a rest takes: all of the duty forgiven when little is left of it, and any dry rest. */
export function restMs(context: CycleContext, rig: Rig): number {
	const { dutyAtMs, dryRestUntilMs } = context;
	const dry = Math.max(0, dryRestUntilMs - dutyAtMs);
	const { restMinutes, runMinutesMax } = rig.pump;
	const worn = Math.ceil((dutyMs(context, rig, dutyAtMs) * restMinutes) / runMinutesMax);
	return isWorn({ ...context, dryRestUntilMs: 0 }, rig, dutyAtMs) ? Math.max(worn, dry) : dry;
}

/** Whether the case is warm before half of the rated run is over: is its cooling blocked? */
export function isWarmEarly(context: CycleContext, rig: Rig, atMs: number): boolean {
	return dutyLeftMs(context, rig, atMs) > (rig.pump.runMinutesMax * 60_000) / 2;
}

/** Whether the order is in its bursts: all of a sweep, the beginning of a polish. */
export function isSweeping({ order, dryBursts }: CycleContext): boolean {
	return order !== null && order.sweep !== null && dryBursts < order.sweep.dryBursts;
}

/** A burst and its stand are over without water: counted where it moved fuel and not air. */
export function withBurst({ burstProven, dryBursts }: CycleContext): Partial<CycleContext> {
	return { burstProven: false, dryBursts: dryBursts + (burstProven ? 1 : 0) };
}

/** Whether `at` the end of a stand the sweep that was ordered is done. */
export function isSwept(context: CycleContext): boolean {
	const after = { ...context, ...withBurst(context) };
	return context.order?.work === "sweep" && !isSweeping(after);
}

/** Whether water at `atMs` comes so soon after the last that somebody must look into the tank. */
export function isWaterAgain({ lastWaterMs }: CycleContext, atMs: number): boolean {
	return lastWaterMs !== null && atMs - lastWaterMs <= WATER_AGAIN_MS;
}

/** Whether the order may still go on by itself after a hold that begins now. */
export function mayHoldAgain({ resumedMs }: CycleContext, atMs: number): boolean {
	return resumedMs.filter((ms) => atMs - ms < RESUMES_WITHIN_MS).length < RESUMES_MAX;
}

/** The context after a hold that has ended by itself. */
export function withResumed(context: CycleContext, atMs: number): Partial<CycleContext> {
	return { ...withGoneOn(context, atMs), startReason: "released" };
}

/** What was not right and went by itself is counted. */
export function withGoneOn({ resumedMs }: CycleContext, atMs: number): Partial<CycleContext> {
	return { resumedMs: [...resumedMs, atMs].slice(-RESUMES_MAX) };
}

export function withWorkBegun(atMs: number): Partial<CycleContext> {
	return { workingSinceMs: atMs };
}

export function withWorkPaused(context: CycleContext, atMs: number): Partial<CycleContext> {
	const since = context.workingSinceMs ?? atMs;
	return { workedMs: context.workedMs + (atMs - since), workingSinceMs: null };
}

/** How long the order may still be at work, as of its last start, ms. */
export function workLeftMs(context: CycleContext, rig: Rig): number {
	return Math.max(0, rig.setpoints.timeLimitMinutes * 60_000 - context.workedMs);
}
