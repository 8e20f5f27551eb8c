// Phrases that the statechart is written in: transitions and actions that stand in several of its
// places, and what an event tells of trips and holds.

import { type CycleContext, contextAtBoot } from "./context.ts";
import type { Outcome } from "./effects.ts";
import type { CycleEvent } from "./events.ts";
import type { HoldCause } from "./holds.ts";
import { waitsOf } from "./orders.ts";
import type { TripCode } from "./trips.ts";

/** What of the statechart's times no file may change, ms. */
export const FIXED_MS = {
	/** K1 is closed alone for so long; a stray current counts after `strayDelayMs`. */
	proof: 2_500,
	/** The dead-man lets go within 1.5 s of the last edge, at worst tolerance. */
	k2Opens: 2_000,
	/** The dead-man's reservoir fills within 1.5 s; then K2 is proven for as long as K1. */
	k2Proof: 1_500 + 2_500,
	/** The horn of a trip falls silent by itself; the lamp stays. */
	tripHorn: 60_000,
	/** A motor that is cooled at all is 10 K cooler within it. */
	coolsWithin: 3_600_000,
} as const;

/** A context in which only the order counts, for the rules that ask whether it may start. */
export function orderContext(event: Extract<CycleEvent, { type: "order" }>): CycleContext {
	return { ...contextAtBoot, order: event.order };
}

export const outOfTries = {
	target: "#cycle.tripped",
	actions: ["noFuel", tripping("prime-failed")],
} as const;

/** To rest; too early too often, and the motor is not cooled. */
export const warmInRun = [
	{
		guard: "warmTooOften",
		target: "#cycle.tripped",
		actions: [
			"noteWarm",
			tripping("motor-hot", "warm again and again before its time: is it cooled?"),
		],
	},
	{ guard: "warmEarly", target: "#cycle.working.resting", actions: "noteWarmEarly" },
	{ target: "#cycle.working.resting", actions: "noteWarm" },
] as const;

export const notCooling = {
	guard: "isWarm",
	target: "#cycle.tripped",
	actions: tripping("motor-hot", "still warm an hour into its rest: is it cooled at all?"),
} as const;

/** To wait, or to trip where the order has waited too often already. */
export const holding = [
	{ guard: "isReleased" },
	{ guard: "holdsTooOften", target: "#cycle.tripped", actions: "heldTooLong" },
	{ target: "#cycle.working.held" },
] as const;

export const gap = {
	type: "trip",
	params: ({ event }: { event: Extract<CycleEvent, { type: "tick-gap" }> }) => ({
		code: "interrupted" as const,
		cause: `no tick for ${(event.ms / 1000).toFixed(1)} s while at work`,
	}),
} as const;

export function tripOf(event: { readonly code: TripCode; readonly cause?: string }) {
	const { code, cause } = event;
	return cause === undefined ? { code } : { code, cause };
}

/** What makes the order wait, by the event that tells of it. */
export function causesOf({ order }: CycleContext, event: CycleEvent): readonly HoldCause[] {
	if (event.type === "holds") return event.causes;
	return event.type === "start-durable" && order !== null ? waitsOf(order, event.present) : [];
}

export function tripping(code: TripCode, cause?: string) {
	const params = cause === undefined ? { code } : { code, cause };
	return { type: "trip", params } as const;
}

export function ending(outcome: Outcome) {
	return { type: "end", params: { outcome } } as const;
}
