// Findings: what the quantities mean, as edges that the statechart is told of once. One row each
// (finding-rows.ts): when it is seen, for how long before it counts, and what its edges send.

import type { Rig } from "../config/rig.ts";
import type { CycleEvent } from "../cycle/events.ts";
import type { HoldCause } from "../cycle/holds.ts";
import type { FindingName } from "./finding-names.ts";
import type { Row } from "./finding-row.ts";
import { rowsOf } from "./finding-rows.ts";
import { isSettled, type Qualifier, qualify, UNQUALIFIED } from "./qualify.ts";
import type { Moment } from "./quantity.ts";
import type { Sensed } from "./sensed.ts";

/** One qualifier a row of the rig's plan. */
export type FindingsState = Readonly<Partial<Record<FindingName, Qualifier>>>;

export interface FindingsPlan {
	readonly rig: Rig;
	readonly rows: ReadonlyArray<readonly [FindingName, Row]>;
}

/** @param without rows left out, for a test that looks what then breaks */
export function planFindings(rig: Rig, without: readonly FindingName[] = []): FindingsPlan {
	return { rig, rows: rowsOf(rig).filter(([name]) => !without.includes(name)) };
}

export function findingsAtBoot({ rows }: FindingsPlan): FindingsState {
	return Object.fromEntries(rows.map(([name]) => [name, UNQUALIFIED]));
}

/** Whether that finding is there; false where the rig has no row for it. */
export const isFound = (state: FindingsState, name: FindingName): boolean =>
	state[name]?.on === true;

export interface Found {
	/** The same object while no qualifier changes. */
	readonly state: FindingsState;
	/** In order of their times. */
	readonly events: CycleEvent[];
	/** The box's button was let go after a short press, or has been held for as long as arming takes. */
	readonly button: "pressed" | "held" | null;
}

export function find(
	{ rig, rows }: FindingsPlan,
	before: FindingsState,
	sensed: Sensed,
	moment: Moment,
): Found {
	let state = before;
	const events: CycleEvent[] = [];
	let button: Found["button"] = null;
	let holdsChanged = false;
	for (const [name, row] of rows) {
		const was = before[name] ?? UNQUALIFIED;
		const seen = row.seen(sensed, moment, rig);
		if (isSettled(was, seen)) continue;
		const times = { onMs: row.onMs, offMs: row.offMs, leaky: row.permits !== true };
		// The sensor's own row stands before: what it has found in this tick counts.
		const lostNow = row.endsWith !== undefined && isFound(state, row.endsWith);
		const gone = seen === null && was.on && lostNow;
		const now = gone ? { state: UNQUALIFIED } : qualify(was, seen, times, moment.nowMs);
		if (now.state !== was) state = { ...state, [name]: now.state };
		if (now.edge === undefined) continue;
		const { on, atMs } = now.edge;
		if (name === "buttonHeld" && on) button = "held";
		if (name === "button" && !on && !isFound(before, "buttonHeld")) button = "pressed";
		if (row.hold !== undefined) holdsChanged = true;
		const event = row.event?.(on, atMs, sensed, rig) ?? null;
		if (event !== null) events.push(event);
	}
	if (holdsChanged) {
		const causes = holdsIn({ rig, rows }, state);
		events.push({ type: "holds", atMs: moment.nowMs, causes });
	}
	return { state, events, button };
}

/** What makes an order wait, by the findings that are there. */
export function holdsIn({ rows }: FindingsPlan, state: FindingsState): HoldCause[] {
	return rows.flatMap(([name, { hold }]) =>
		hold !== undefined && isFound(state, name) ? [hold] : [],
	);
}
