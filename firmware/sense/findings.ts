// Findings: what the quantities mean, as edges that the statechart is told of once. One row each:
// when it is seen, for how long before it counts, and the events its two edges send.
// Order matters within one tick: what stops the pump stands first.

import type { CycleEvent, Sensor } from "../cycle/events.ts";
import type { Setpoints } from "../cycle/setpoints.ts";
import { isSettled, type Qualifier, qualify, UNQUALIFIED } from "./qualify.ts";
import { isUnknown, type Moment } from "./quantity.ts";
import type { Sensed } from "./sensed.ts";

interface Row {
	/** null: the inputs say nothing either way. */
	readonly seen: (sensed: Sensed, moment: Moment, setpoints: Setpoints) => boolean | null;
	readonly onMs: (setpoints: Setpoints) => number;
	readonly offMs: (setpoints: Setpoints) => number;
	/** What permits must hold without a break; all else is counted leakily. */
	readonly permits?: true;
	/** Its end must be seen: with this sensor lost it ends without an event. */
	readonly endsWith?: FindingName;
	readonly event: (on: boolean, atMs: number, sensed: Sensed) => CycleEvent | null;
}

/** The button's contacts settle within it, ms. */
const BUTTON_MS = 50;
/** With the age at which a reading is old, found 1.4 s after the last answer, ms. */
const BOARD_LOST_MS = 400;
/** Gulps that add up: no more than 30 s dry in any 5 min, a bucket's blur allowed for, ms. */
const DRY_IN_ALL_MS = 28_000;
/** A stop button that came back must stay back this long before it counts as released, ms. */
const RELEASED_MS = 500;

/** Names of the rows, in the order in which they are looked at. */
export type FindingName =
	| "stop"
	| "boardLost"
	| "probeLost"
	| "water"
	| "stray"
	| "dry"
	| "dryInAll"
	| "primed"
	| "stopLost"
	| "meterLost"
	| "currentLost"
	| "button";

const rows = {
	stop: {
		seen: ({ stop }) => (stop === "broken" ? true : stop === "made" ? false : null),
		onMs: () => 0,
		offMs: () => RELEASED_MS,
		event: (on, atMs) => (on ? { type: "stop-pressed", atMs } : null),
	},
	boardLost: {
		seen: ({ board }) => board !== 1,
		onMs: () => BOARD_LOST_MS,
		offMs: () => BOARD_LOST_MS,
		event: (on, atMs, { board }) => {
			if (!on) return null;
			const why = board === 0 ? "outputs are not as driven" : `no answer: ${board}`;
			return { type: "board-lost", atMs, why };
		},
	},
	probeLost: lost("bowl-probe", ({ probe }) => probe),
	water: {
		endsWith: "probeLost",
		seen: ({ probe }) => (probe === "wet" ? true : probe === "dry" ? false : null),
		onMs: (setpoints) => setpoints.waterDelayMs,
		offMs: (setpoints) => setpoints.waterGoneMs,
		event: (on, atMs) => ({ type: on ? "water-seen" : "water-gone", atMs }),
	},
	stray: {
		seen: ({ motorAmps }, { motorOn }, { strayCurrentA }) =>
			typeof motorAmps === "number" ? !motorOn && Math.abs(motorAmps) > strayCurrentA : null,
		onMs: (setpoints) => setpoints.strayDelayMs,
		offMs: (setpoints) => setpoints.strayDelayMs,
		event: (on, atMs) => (on ? { type: "stray-current", atMs } : null),
	},
	dry: {
		seen: ({ flowLph }, { motorOn }, { dryFlowLph }) =>
			typeof flowLph === "number" ? motorOn && flowLph < dryFlowLph : null,
		onMs: (setpoints) => setpoints.dryRunDelayMs,
		offMs: () => 0,
		event: (on, atMs) => (on ? { type: "flow-lost", atMs } : null),
	},
	dryInAll: {
		seen: ({ dryMs }) => dryMs > DRY_IN_ALL_MS,
		onMs: () => 0,
		offMs: () => 0,
		event: (on, atMs) => (on ? { type: "flow-lost", atMs } : null),
	},
	primed: {
		permits: true,
		seen: ({ flowLph }, { motorOn }, { primedFlowLph }) =>
			typeof flowLph === "number" ? motorOn && flowLph >= primedFlowLph : null,
		onMs: (setpoints) => setpoints.primedForMs,
		offMs: () => 0,
		event: (on, atMs) => (on ? { type: "flow-established", atMs } : null),
	},
	stopLost: lost("stop-loop", ({ stop }) => stop),
	meterLost: lost("flow-pulse", ({ flowLph }) => flowLph),
	currentLost: lost("motor-current", ({ motorAmps }) => motorAmps),
	button: {
		permits: true,
		seen: ({ buttonPressed }) => buttonPressed,
		onMs: () => BUTTON_MS,
		offMs: () => BUTTON_MS,
		event: () => null,
	},
} as const satisfies Record<FindingName, Row>;

function lost(sensor: Sensor, value: (sensed: Sensed) => number | string): Row {
	return {
		seen: (sensed) => isUnknown(value(sensed)),
		onMs: (setpoints) => setpoints.sensorLostMs,
		offMs: (setpoints) => setpoints.sensorLostMs,
		event: (on, atMs, sensed) =>
			on ? { type: "sensor-lost", atMs, sensor, why: String(value(sensed)) } : null,
	};
}

export type FindingsState = Readonly<Record<FindingName, Qualifier>>;

const ordered = Object.entries(rows) as ReadonlyArray<readonly [FindingName, Row]>;

export const findingsAtBoot: FindingsState = Object.fromEntries(
	ordered.map(([name]) => [name, UNQUALIFIED]),
) as Record<FindingName, Qualifier>;

/**
 * @returns the same state object while no qualifier changes; the events in order of their times;
 * whether the acknowledge button was pressed just now
 */
export function find(
	setpoints: Setpoints,
	before: FindingsState,
	sensed: Sensed,
	moment: Moment,
): { state: FindingsState; events: CycleEvent[]; buttonPressed: boolean } {
	let state = before;
	const events: CycleEvent[] = [];
	let buttonPressed = false;
	for (const [name, row] of ordered) {
		const seen = row.seen(sensed, moment, setpoints);
		if (isSettled(before[name], seen)) continue;
		const times = {
			onMs: row.onMs(setpoints),
			offMs: row.offMs(setpoints),
			leaky: row.permits !== true,
		};
		// The sensor's own row stands before: what it has found in this tick counts.
		const lostNow = row.endsWith !== undefined && state[row.endsWith].on;
		const gone = seen === null && before[name].on && lostNow;
		const now = gone ? { state: UNQUALIFIED } : qualify(before[name], seen, times, moment.nowMs);
		if (now.state !== before[name]) state = { ...state, [name]: now.state };
		if (now.edge === undefined) continue;
		if (name === "button" && now.edge.on) buttonPressed = true;
		const event = row.event(now.edge.on, now.edge.atMs, sensed);
		if (event !== null) events.push(event);
	}
	return { state, events, buttonPressed };
}
