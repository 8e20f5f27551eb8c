// What happens when a trip opens, is found open at boot, or is cleared: it is told once, and an
// order that must not go on ends with it. The statechart's actions call this; it changes nothing by
// itself.

import { type CycleContext, contextAtBoot, isSweeping, isWaterAgain, withTrip } from "./context.ts";
import type { CycleEffect } from "./effects.ts";
import type { CycleEvent } from "./events.ts";
import { type TripCode, trips } from "./trips.ts";

export interface TripParams {
	readonly code: TripCode;
	/** In place of the catalogue's words. */
	readonly cause?: string;
}

const WATER_AGAIN =
	"water again within 10 min of the last: look into tank and bowl, sweep before polishing";

/** What an action may ask of the statechart. */
export interface Enqueue {
	assign(change: Partial<CycleContext>): void;
	emit(effect: CycleEffect): void;
}

export function openTrip(
	enqueue: Enqueue,
	context: CycleContext,
	atMs: number,
	{ code, cause }: TripParams,
): void {
	// Bursts are there to bring the water: only what comes after them is a surprise.
	const isSurprise = code === "water-in-bowl" && !isSweeping(context);
	const again = isSurprise && isWaterAgain(context, atMs);
	const words = again ? WATER_AGAIN : (cause ?? trips[code].cause);
	const isNew = !context.trips.some((trip) => trip.code === code);
	enqueue.assign(withTrip(context, code, words, atMs));
	if (isNew) enqueue.emit({ type: "trip", code, cause: words });
	const ends = again || trips[code].afterwards === "end the order";
	if (context.order === null || !isNew || !ends) return;
	enqueue.emit({ type: "run-end", outcome: `ended by trip: ${code}`, reasons: [] });
	enqueue.assign({ order: null });
}

/** Trips of an earlier boot are open still; they are in the log already. */
export function reopenTrips(
	enqueue: Enqueue,
	{ atMs, trips: open, interrupted }: Extract<CycleEvent, { type: "recovered" }>,
): void {
	let { trips: now } = contextAtBoot;
	const reopen = (code: TripCode, cause: string, drainSeen = false) => {
		now = withTrip({ ...contextAtBoot, trips: now }, code, cause, atMs, drainSeen).trips;
	};
	for (const { code, cause, drainSeen } of open) reopen(code, cause, drainSeen);
	const { cause } = trips.interrupted;
	if (interrupted) reopen("interrupted", cause);
	enqueue.assign({ trips: now });
	if (interrupted) enqueue.emit({ type: "trip", code: "interrupted", cause });
}

/** All that is open is acknowledged; the next prime proves it. */
export function clearTrips(
	enqueue: Enqueue,
	context: CycleContext,
	{ atMs, id, from }: Extract<CycleEvent, { type: "acknowledge" }>,
): void {
	const codes = context.trips.map((trip) => trip.code);
	enqueue.emit({ type: "acknowledged", id, codes, from });
	enqueue.assign({
		trips: [],
		unproven: [...new Set([...context.unproven, ...codes])],
		startReason: "acknowledged",
		primeTry: 0,
		// What was stirred up, or let in, while it stood: the bursts begin anew.
		dryBursts: 0,
		lastWaterMs: codes.includes("water-in-bowl") ? atMs : context.lastWaterMs,
	});
}
