// What happens when a trip opens: it is told once, and an order that must not go on ends with it.
// The statechart's actions call this; it changes nothing by itself.

import { type CycleContext, isWaterAgain, withTrip } from "./context.ts";
import type { CycleEffect } from "./effects.ts";
import { type TripCode, trips } from "./trips.ts";

export interface TripParams {
	readonly code: TripCode;
	/** In place of the catalogue's words. */
	readonly cause?: string;
}

const WATER_AGAIN =
	"water again within 10 min of the last: look into tank and bowl, sweep before polishing";

/** What an action may ask of the statechart. */
interface Enqueue {
	assign(change: Partial<CycleContext>): void;
	emit(effect: CycleEffect): void;
}

export function openTrip(
	enqueue: Enqueue,
	context: CycleContext,
	atMs: number,
	{ code, cause }: TripParams,
): void {
	const again = code === "water-in-bowl" && isWaterAgain(context, atMs);
	const words = again ? WATER_AGAIN : (cause ?? trips[code].cause);
	const isNew = !context.trips.some((trip) => trip.code === code);
	enqueue.assign(withTrip(context, code, words, atMs));
	if (isNew) enqueue.emit({ type: "trip", code, cause: words });
	const ends = again || trips[code].afterwards === "end the order";
	if (context.order === null || !isNew || !ends) return;
	enqueue.emit({ type: "run-end", outcome: `ended by trip: ${code}`, reasons: [] });
	enqueue.assign({ order: null });
}
