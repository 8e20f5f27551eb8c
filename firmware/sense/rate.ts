// How fast a quantity may change. One that jumps faster than its thing can move is not believed: a
// real step costs one reading, a loose wire or noise goes on jumping and becomes a lost sensor.
// Pure.

import type { Quantity } from "./quantity.ts";

export interface RateLimit {
	/** Most that it changes in a second, in its own unit. */
	readonly perSecond: number;
	/** What its steps and its ordinary noise add to any change. */
	readonly slack: number;
	/** After a jump it must have been steady for so long to be believed again, ms. */
	readonly steadyMs: number;
}

/**
 * A level, share of the depth: a boat that rolls to a fifth of the depth either way in 6 s moves it
 * by 0.21 a second (geometry). Who moves the sender is at the rig, and stops what nobody attends.
 */
export const LEVEL_RATE: RateLimit = { perSecond: 0.25, slack: 0.03, steadyMs: 4_000 };
/** A temperature, K: cold fuel reaches a thermistor in the hose within seconds, not at once. */
export const TEMPERATURE_RATE: RateLimit = { perSecond: 3, slack: 1.5, steadyMs: 0 };

export interface Rated {
	/** The last number heard, believed or not; null before the first and while nothing is heard. */
	readonly last: number | null;
	/** Time left until it is believed again, ms. */
	readonly doubtMs: number;
	/** The quantity, or `jumps` where it has changed faster than it can. */
	readonly value: Quantity;
}

export const UNRATED: Rated = { last: null, doubtMs: 0, value: "not-fitted" };

export function limitRate(
	{ last, doubtMs }: Rated,
	now: Quantity,
	elapsedMs: number,
	{ perSecond, slack, steadyMs }: RateLimit,
): Rated {
	if (typeof now !== "number") return { last: null, doubtMs, value: now };
	const most = slack + (perSecond * elapsedMs) / 1000;
	if (last !== null && Math.abs(now - last) > most) {
		return { last: now, doubtMs: steadyMs, value: "jumps" };
	}
	const left = Math.max(0, doubtMs - elapsedMs);
	return { last: now, doubtMs: left, value: left > 0 ? "jumps" : now };
}
