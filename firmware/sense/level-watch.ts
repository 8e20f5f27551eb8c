// Levels under tube and return over a run: smoothed against the roll of the boat, and how far each
// has moved since the pump began. Shares of the tank's volume. Pure, plain JSON.

import type { Quantity } from "./quantity.ts";

/** The boat's roll, and the sender's own steps, are averaged away over some rolls, ms. */
const SMOOTH_MS = 20_000;

export interface LevelWatch {
	/** Smoothed; a word while the sender says nothing. */
	readonly share: Quantity;
	/** As the pump began with this order; null before, and without a reading then. */
	readonly atStart: number | null;
	readonly run: string | null;
}

export const NO_LEVEL: LevelWatch = { share: "not-fitted", atStart: null, run: null };

/**
 * @param run names the order while fuel is pumped for it; null before its first flow, and after
 * @returns the same object while nothing changes
 */
export function watchLevel(
	before: LevelWatch,
	level: Quantity,
	run: string | null,
	elapsedMs: number,
): LevelWatch {
	if (typeof level !== "number") {
		return before.share === level ? before : { ...before, share: level };
	}
	const last = before.share;
	const gain = Math.min(1, elapsedMs / SMOOTH_MS);
	const share = typeof last === "number" ? last + (level - last) * gain : level;
	if (run === null || run === before.run) {
		return share === last ? before : { share, atStart: before.atStart, run: before.run };
	}
	return { share, atStart: share, run };
}

/** How far the level has moved since the pump began with this order; null while unknown. */
export function movedShare({ share, atStart }: LevelWatch): number | null {
	return typeof share === "number" && atStart !== null ? share - atStart : null;
}
