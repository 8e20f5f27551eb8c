// What each way to watch a run has in common: what it keeps, asks and finds. Imports types only,
// and is pure.

import type { Entry } from "./steps.ts";
import type { Asks, End, Scene, Values } from "./trial.ts";

export interface RunWork {
	readonly kind: "run";
	/** Of the order that is watched; null before it. */
	readonly orderId: string | null;
	readonly isOver: boolean;
	/** The pump has turned in it. */
	readonly hasTurned: boolean;
	readonly own: unknown;
}

export interface Watch<Own> {
	readonly begin: Own;
	readonly entries: readonly Entry[];
	/** @param isOver the order has ended by its goal or a stop, or a trip is open */
	watch(own: Own, scene: Scene, isOver: boolean): { own: Own; end?: End };
	answer?(own: Own, values: Values, scene: Scene): { own: Own; end?: End };
	asks(own: Own): Asks;
	say(own: Own): string;
}

/** So many readings of the motor's current make a median: one a tick, ten seconds. */
export const AMPS_COUNT = 100;
const AMPS_DIGITS = 2;

/** The list with one more, the oldest let go; the same where nothing is known. */
export function withAmps(list: readonly number[], { sensed }: Scene): readonly number[] {
	const { motorAmps } = sensed;
	if (typeof motorAmps !== "number") return list;
	return [...list.slice(1 - AMPS_COUNT), Number(motorAmps.toFixed(AMPS_DIGITS))];
}
