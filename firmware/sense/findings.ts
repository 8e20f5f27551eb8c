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

/**
 * One qualifier a row of the rig's plan, by the row's place in it: a look-up by name, some fifty
 * times a tick, takes many times longer.
 */
export type FindingsState = readonly Qualifier[];

export interface FindingsPlan {
	readonly rig: Rig;
	readonly rows: readonly PlannedRow[];
	/** Place of each row, also of one that is left out. */
	readonly places: Readonly<Partial<Record<FindingName, number>>>;
}

type PlannedRow = readonly [name: FindingName, row: Row, place: number];

/** @param without rows left out, for a test that looks what then breaks */
export function planFindings(rig: Rig, without: readonly FindingName[] = []): FindingsPlan {
	const all = rowsOf(rig).map(([name, row], place) => [name, row, place] as const);
	const places = Object.fromEntries(all.map(([name, , place]) => [name, place]));
	return { rig, places, rows: all.filter(([name]) => !without.includes(name)) };
}

export function findingsAtBoot({ places }: FindingsPlan): FindingsState {
	return Object.keys(places).map(() => UNQUALIFIED);
}

/** Whether that finding is there; false where the rig has no row for it. */
export function isFound(
	{ places }: FindingsPlan,
	state: FindingsState,
	name: FindingName,
): boolean {
	const place = places[name];
	return place !== undefined && state[place]?.on === true;
}

export interface Found {
	/** The same object while no qualifier changes. */
	readonly state: FindingsState;
	/** In order of their times. */
	readonly events: CycleEvent[];
	/** The box's button was let go after a short press, or after one as long as arming takes. */
	readonly button: "pressed" | "held" | null;
}

export function find(
	plan: FindingsPlan,
	before: FindingsState,
	sensed: Sensed,
	moment: Moment,
): Found {
	const { rig, rows } = plan;
	let state: Qualifier[] | null = null;
	const events: CycleEvent[] = [];
	let button: Found["button"] = null;
	let holdsChanged = false;
	for (let i = 0; i < rows.length; i += 1) {
		// Taken out one by one: a pattern would go by an iterator, which takes several times as long.
		const planned = rows[i] as PlannedRow;
		const row = planned[1];
		const was = before[planned[2]] ?? UNQUALIFIED;
		const seen = row.seen(sensed, moment, rig);
		if (isSettled(was, seen)) continue;
		const [name, , place] = planned;
		const times = { onMs: row.onMs, offMs: row.offMs, leaky: row.permits !== true };
		// The sensor's own row stands before: what it has found in this tick counts.
		const lostNow = row.endsWith !== undefined && isFound(plan, state ?? before, row.endsWith);
		const gone = seen === null && was.on && lostNow;
		const now = gone ? { state: UNQUALIFIED } : qualify(was, seen, times, moment.nowMs);
		if (now.state !== was) {
			state ??= [...before];
			state[place] = now.state;
		}
		if (now.edge === undefined) continue;
		const { on, atMs } = now.edge;
		// Letting go counts: a wire that is shorted, or a button that is jammed, never does it.
		if (name === "button" && !on && !isFound(plan, before, "buttonJammed")) {
			button = isFound(plan, before, "buttonHeld") ? "held" : "pressed";
		}
		if (row.hold !== undefined) holdsChanged = true;
		const event = row.event?.(on, atMs, sensed, rig) ?? null;
		if (event !== null) events.push(event);
	}
	const after = state ?? before;
	if (holdsChanged) {
		const causes = holdsIn(plan, after);
		events.push({ type: "holds", atMs: moment.nowMs, causes });
	}
	return { state: after, events, button };
}

/** What makes an order wait, by the findings that are there. */
export function holdsIn({ rows }: FindingsPlan, state: FindingsState): HoldCause[] {
	return rows.flatMap(([, { hold }, place]) =>
		hold !== undefined && state[place]?.on === true ? [hold] : [],
	);
}
