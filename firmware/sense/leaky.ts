// Time for which something has been so, in a way that flapping does not defeat: it grows while the
// thing is seen, shrinks at a fifth of that pace while it is not, and stands still while the inputs
// say nothing. A value holds from its tick to the next, so one long step counts as many short ones.

export interface Leaky {
	readonly ms: number;
	readonly atMs: number;
	/** What the last tick saw; null: the inputs said nothing. */
	readonly seen: boolean | null;
}

export const EMPTY_LEAKY: Leaky = { ms: 0, atMs: 0, seen: false };

/** One part in five: an input that is bad for more than a sixth of the time ends in a stop. */
const LEAK = 1 / 5;

/** Counts without a leak: what is not seen empties it at once. For times before a start. */
export function hold(before: Leaky, seen: boolean | null, nowMs: number): Leaky {
	return seen === false ? EMPTY_LEAKY : fill(before, seen, nowMs);
}

/** @returns the same object while there is nothing to count */
export function fill(before: Leaky, seen: boolean | null, nowMs: number): Leaky {
	if (before.ms === 0 && before.seen === false && seen === false) return before;
	const elapsedMs = before.seen === false && before.ms === 0 ? 0 : nowMs - before.atMs;
	const ms =
		before.seen === true
			? before.ms + elapsedMs
			: before.seen === false
				? Math.max(0, before.ms - elapsedMs * LEAK)
				: before.ms;
	return { ms, atMs: nowMs, seen };
}
