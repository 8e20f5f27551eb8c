// Levels under tube and return over a run: smoothed against the roll of the boat, shares of the
// depth; and how far each has moved since the pump began, share of the volume. Pure, plain JSON.

import type { Rig } from "../config/rig.ts";
import type { Quantity } from "./quantity.ts";
import { volumeShare } from "./tank-level.ts";

/** The boat's roll, and the sender's own steps, are averaged away over some rolls, ms. */
const SMOOTH_MS = 20_000;

export interface LevelWatch {
	/** Smoothed; a word while the sender says nothing. */
	readonly share: Quantity;
	/** Smoothed when it last said something, and how long ago that is, ms; null before. */
	readonly smooth: number | null;
	readonly silentMs: number;
	/** As the pump began with this order; null before, and without a reading then. */
	readonly atStart: number | null;
	readonly run: string | null;
}

export const NO_LEVEL: LevelWatch = {
	share: "not-fitted",
	smooth: null,
	silentMs: 0,
	atStart: null,
	run: null,
};

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
		const silentMs = before.silentMs + elapsedMs;
		// What was smoothed is forgotten after as long: it may be another tank's by then.
		const smooth = silentMs > SMOOTH_MS ? null : before.smooth;
		if (smooth === null && before.smooth === null && before.share === level) return before;
		return { share: level, smooth, silentMs, atStart: before.atStart, run: before.run };
	}
	const gain = Math.min(1, elapsedMs / SMOOTH_MS);
	const smooth = before.smooth === null ? level : before.smooth + (level - before.smooth) * gain;
	const isNew = run !== null && run !== before.run;
	const { atStart } = before;
	return {
		share: smooth,
		smooth,
		silentMs: 0,
		atStart: isNew ? smooth : atStart,
		run: isNew ? run : before.run,
	};
}

/**
 * How far the level has moved since the pump began with this order; null while unknown, and before
 * it began: what was done to the tank between two orders is no business of the second.
 */
export function movedShare(
	{ share, atStart, run }: LevelWatch,
	order: string | null,
	tank: Rig["tanks"][number] | undefined,
): number | null {
	const isOwn = order !== null && run === order;
	const areKnown = typeof share === "number" && atStart !== null;
	return isOwn && areKnown ? volumeShare(tank, share) - volumeShare(tank, atStart) : null;
}
