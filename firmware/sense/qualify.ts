// A condition becomes a finding when it has held for its time, and ends when its opposite has held
// for its own. The edge carries the time at which it was due, so that one long step finds the same
// edges, in the same order, as many short ones. A protective condition is counted leakily: flapping
// still ends in a stop. What permits something must hold without a break.

import { EMPTY_LEAKY, fill, type Leaky } from "./leaky.ts";

export interface Qualifier {
	readonly on: boolean;
	/** For how long the opposite of `on` has held. */
	readonly towards: Leaky;
}

export const UNQUALIFIED: Qualifier = { on: false, towards: EMPTY_LEAKY };
const QUALIFIED: Qualifier = { on: true, towards: EMPTY_LEAKY };

export interface Edge {
	readonly on: boolean;
	readonly atMs: number;
}

export interface Times {
	readonly onMs: number;
	readonly offMs: number;
	/** Count towards `on` leakily; towards `off` every break starts anew in any case. */
	readonly leaky: boolean;
}

/** Nothing counts and nothing will: most rows at most ticks. */
export function isSettled({ on, towards }: Qualifier, seen: boolean | null): boolean {
	return seen === on && towards === EMPTY_LEAKY;
}

/**
 * @param seen true, false, or null where the inputs say nothing
 * @returns the same object while nothing changes
 */
export function qualify(
	before: Qualifier,
	seen: boolean | null,
	{ onMs, offMs, leaky }: Times,
	nowMs: number,
): { state: Qualifier; edge?: Edge } {
	const { on } = before;
	const opposite = seen === null ? null : seen !== on;
	if ((on || !leaky) && opposite !== true) return { state: on ? QUALIFIED : UNQUALIFIED };
	const needMs = on ? offMs : onMs;
	const towards = fill(before.towards, opposite, nowMs);
	if (towards === before.towards) return { state: before };
	if (towards.ms >= needMs && (towards.seen === true || before.towards.seen === true)) {
		const due = before.towards.seen === true ? dueAt(before.towards, needMs) : nowMs;
		return flip(on, Math.min(due, nowMs));
	}
	return { state: { on, towards } };
}

/** When what is held would reach its time. */
function dueAt({ ms, atMs }: Leaky, needMs: number): number {
	return atMs + Math.max(0, needMs - ms);
}

function flip(on: boolean, atMs: number): { state: Qualifier; edge: Edge } {
	return { state: on ? UNQUALIFIED : QUALIFIED, edge: { on: !on, atMs } };
}
