// A message ashore: what has happened aboard, in words that need no page beside them. Pure; imports
// what makes words harmless.

import { harmless } from "../report/cell-width.ts";

/**
 * `trip` opens, `trip-still-open` says so again, `order-ended` comes without a trip,
 * `controller-lost` after a minute without an answer, `controller-back` after that alone.
 */
export type NewsEvent =
	| "trip"
	| "trip-still-open"
	| "order-ended"
	| "controller-lost"
	| "controller-back";

export interface News {
	readonly event: NewsEvent;
	/** Name of the rig; empty before it is known. */
	readonly rig: string;
	/** Its code; empty where it is no trip. */
	readonly trip: string;
	readonly cause: string;
	/** Empty where nothing is to be done. */
	readonly toDo: string;
}

/** As it is sent. */
export interface Message extends News {
	/** The same in each try: who gets it twice can tell. */
	readonly id: string;
	/** When it was noticed, by this computer's clock, as 2026-11-29T03:12:00.000Z. */
	readonly at: string;
}

const TEXT_MAX = 600;

/** Nothing that a terminal obeys, that no environment can hold, or that has no end. */
export function tamed(news: News): News {
	const tame = (text: string) => Buffer.from(harmless(text).slice(0, TEXT_MAX)).toString();
	const { event, rig, trip, cause, toDo } = news;
	return { event, rig: tame(rig), trip: tame(trip), cause: tame(cause), toDo: tame(toDo) };
}
