// What one finding is made of, and the phrases that its rows are written in: comparisons that know
// unknown, and events that trip.

import type { Rig } from "../config/rig.ts";
import type { CycleEvent } from "../cycle/events.ts";
import type { HoldCause } from "../cycle/holds.ts";
import type { TripCode } from "../cycle/trips.ts";
import type { FindingName } from "./finding-names.ts";
import type { Moment, Quantity } from "./quantity.ts";
import type { Sensed } from "./sensed.ts";
import type { LoopValue } from "./supervised-loop.ts";

export type Seen = boolean | null;
type See = (sensed: Sensed, moment: Moment, rig: Rig) => Seen;
type Words = string | ((sensed: Sensed, rig: Rig) => string);

export interface Row {
	readonly seen: See;
	readonly onMs: number;
	readonly offMs: number;
	/** What permits must hold without a break; all else is counted leakily. */
	readonly permits?: true;
	/** Its end must be seen: with this sensor lost it ends without an event. */
	readonly endsWith?: FindingName;
	/** It makes an order wait. */
	readonly hold?: HoldCause;
	/** In these words it keeps any start from happening. */
	readonly blocks?: string;
	/** In these words it keeps a start from happening whose return is to hang in the tube's tank. */
	readonly blocksOneTank?: string;
	/** The channel that it says is lost, and whether no pump may run without that. */
	readonly loses?: {
		readonly sensor: string;
		readonly value: (sensed: Sensed) => number | string;
		readonly always: boolean;
	};
	readonly event?: (on: boolean, atMs: number, sensed: Sensed, rig: Rig) => CycleEvent | null;
}

export const isOver = (value: Quantity, limit: number): Seen =>
	typeof value === "number" ? value > limit : null;
export const isUnder = (value: Quantity, limit: number): Seen =>
	typeof value === "number" ? value < limit : null;
export const isBroken = (value: LoopValue): Seen =>
	value === "broken" ? true : value === "made" ? false : null;
/** True past one mark, false past the other, and nothing in between. */
export const between = (value: Quantity, on: number, off: number): Seen => {
	if (typeof value !== "number") return null;
	if (on < off) return value < on ? true : value > off ? false : null;
	return value > on ? true : value < off ? false : null;
};
export const batteries = ({ pump }: Rig) => pump.ratedVolts / 12;
export const figure = (value: Quantity | null, digits: number, unit: string) =>
	typeof value === "number" ? `${value.toFixed(digits)} ${unit}` : `unknown ${unit}`;

/** A finding that trips whatever the cycle is doing. */
export function alarm(code: TripCode, words?: Words): NonNullable<Row["event"]> {
	return (on, atMs, sensed, rig) =>
		on ? { type: "alarm", atMs, code, ...causeOf(words, sensed, rig) } : null;
}

/** A finding that trips an order at work. */
export function trouble(code: TripCode, words?: Words): NonNullable<Row["event"]> {
	return (on, atMs, sensed, rig) =>
		on ? { type: "trouble", atMs, code, ...causeOf(words, sensed, rig) } : null;
}

function causeOf(words: Words | undefined, sensed: Sensed, rig: Rig): { cause?: string } {
	if (words === undefined) return {};
	return { cause: typeof words === "string" ? words : words(sensed, rig) };
}

/** Whether either of two levels has moved further than that. */
export function hasMoved(from: number | null, to: number | null, limit: number): Seen {
	if (from === null && to === null) return null;
	return Math.abs(from ?? 0) > limit || Math.abs(to ?? 0) > limit;
}

export const percent = (share: number | null) =>
	share === null ? "an unknown amount" : `${(100 * share).toFixed(1)} %`;
