// A quantity is a number or the reason why there is none. "Unknown" is a value that every reader
// must face, never the last number that happened to be there.

import type { Reading } from "../board/port.ts";

export type Unknown =
	| "not-fitted"
	| "stale"
	| "open"
	| "short"
	| "out-of-range"
	| "unlike"
	| "jumps";
export type Quantity = number | Unknown;

/**
 * Whether a quantity, or a value with words of its own, is one of the reasons for having none.
 * Written as comparisons: it is asked some thirty times a tick, and a set takes many times longer.
 */
export function isUnknown(value: number | string): value is Unknown {
	// First, since a comparison with words takes longer where numbers come to it too.
	if (typeof value === "number") return false;
	return (
		value === "stale" ||
		value === "open" ||
		value === "short" ||
		value === "not-fitted" ||
		value === "out-of-range" ||
		value === "unlike" ||
		value === "jumps"
	);
}

/** A reading older than this says nothing about now, ms. The slowest input reports every 100 ms. */
const STALE_MS = 1_000;

/**
 * After so long without a tick, or without a word of the board, the dead-man may have let go, and
 * the next edges would start the pump again unannounced, ms. Ticks come, and the board is asked,
 * every 100 ms. Two readings on both sides of the limit leave
 * up to 0.7 s without an edge. The circuit (hardware/dead-man) holds through that at the corners of
 * its parts, and lets go 0.72 to 1.45 s after the last edge.
 */
export const EDGELESS_MS_MAX = 500;

/** @returns the raw value, or why it cannot be used @param staleMs it is old beyond this age */
export function fresh(reading: Reading | undefined, staleMs: number = STALE_MS): Quantity {
	if (reading === undefined) return "not-fitted";
	const { raw, ageMs } = reading;
	if (!Number.isFinite(raw) || !(ageMs >= 0)) return "out-of-range";
	return ageMs > staleMs ? "stale" : raw;
}

/** Counts of a converter of up to 30 bits. A shift, since a power takes many times longer. */
export function countsOf(bits: number): number {
	return 1 << bits;
}

/** What a tick knows before it looks at any reading. */
export interface Moment {
	readonly nowMs: number;
	/** Since the last tick. */
	readonly elapsedMs: number;
	/** Pump demand and beat have let the motor run since the last tick. */
	readonly motorOn: boolean;
	/** Fuel has been proven and is expected to flow: outside of priming. */
	readonly polishing: boolean;
	/** Names the order at work; null while there is none. */
	readonly run: string | null;
	/** The tank of that order. */
	readonly tank: string | undefined;
	/** Tube and return hang in one tank by the order. */
	readonly sameTank: boolean;
	/** The tank of the return where that is another one. */
	readonly toTank: string | undefined;
}
