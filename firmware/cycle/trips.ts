// The trip catalogue: every protective stop that latches. One row makes the statechart's rules,
// the account's words and the docs table. Worst severity is shown first; a trip never clears by
// itself. What the box cannot see (film, emulsion, ice) is not in here: see the water probe's file.

import type { Present } from "./events.ts";

export type Place = "box" | "link";

export interface TripRow {
	/** 1 to 9; the worst open trip is the one shown. */
	readonly severity: number;
	readonly cause: string;
	readonly toDo: string;
	/** Why it may not be acknowledged yet, or null when its cause is gone. */
	readonly stillThere: (present: Present, drainSeen: boolean) => string | null;
	/** Where the acknowledgement may be given: `anywhere` includes the link. */
	readonly acknowledgeAt: "box" | "anywhere";
	/** Whether the order goes on after the acknowledgement or ends with the trip. */
	readonly afterwards: "go on" | "end the order";
	/** Channels without which this trip cannot be found. */
	readonly sensors: readonly string[];
}

const gone = () => null;

const rows = {
	"relay-stuck": {
		severity: 9,
		cause: "current in the motor's line while it was switched off: a contact is welded",
		toDo: "open the isolator now and lock it; replace the welded contact before the next start",
		stillThere: ({ strayCurrent }) =>
			strayCurrent ? "current still flows: open the isolator" : null,
		acknowledgeAt: "box",
		afterwards: "end the order",
		sensors: ["motor-current"],
	},
	"stop-button": {
		severity: 8,
		cause: "the stop button was pressed",
		toDo: "find out why; turn the button to release it; a new order is needed to start again",
		stillThere: ({ stop }) => (stop === "made" ? null : "the stop button is not released"),
		acknowledgeAt: "box",
		afterwards: "end the order",
		sensors: ["stop-loop"],
	},
	"water-in-bowl": {
		severity: 7,
		cause: "water reached the probe in the bowl",
		toDo:
			"isolator off and locked, suction valve shut, vent open; drain the bowl into a container " +
			"and note the mL; close, refill the bowl with clean fuel, open the valve, isolator on; " +
			"no flame, gloves on; then acknowledge at the box",
		stillThere: ({ probe }, drainSeen) => {
			if (probe !== "dry") return `the probe reads ${probe}: drain the bowl`;
			return drainSeen ? null : "not seen to dry: wet the probe, then let it dry";
		},
		acknowledgeAt: "box",
		afterwards: "go on",
		sensors: ["bowl-probe"],
	},
	"board-lost": {
		severity: 6,
		cause: "the board does not answer, or its outputs are not as they were driven",
		toDo: "look at the USB cable and the board's supply; the dead-man has opened by itself",
		stillThere: ({ unknown }) =>
			unknown.some((what) => what.startsWith("board ")) ? "the board does not answer" : null,
		acknowledgeAt: "box",
		afterwards: "go on",
		sensors: ["board"],
	},
	"sensor-fault": {
		severity: 5,
		cause: "a sensor that the pump must not run without says nothing sensible",
		toDo: "look at its plug and wire; unknown is treated as the worst until it reads again",
		stillThere: ({ unknown }) => (unknown.length === 0 ? null : `unknown: ${unknown.join(", ")}`),
		acknowledgeAt: "box",
		afterwards: "go on",
		sensors: [],
	},
	interrupted: {
		severity: 4,
		cause: "the controller ended in mid-run without a stop: power cut, crash or reset",
		toDo: "look at the supply and at the rig as it stands; then acknowledge and order again",
		stillThere: gone,
		acknowledgeAt: "box",
		afterwards: "end the order",
		sensors: [],
	},
	"log-failed": {
		severity: 4,
		cause: "a record that had to be on disk before the pump starts did not get there",
		toDo: "look at the computer's disk; the pump stays off for unattended orders until it works",
		stillThere: ({ logFailed }) => (logFailed ? "the log still fails" : null),
		acknowledgeAt: "box",
		afterwards: "end the order",
		sensors: [],
	},
	"dry-run": {
		severity: 3,
		cause: "no fuel at the meter while the pump ran: air on the suction side",
		toDo: "look at the tube's end, the hose joints and the tank's level; refill the bowl",
		stillThere: gone,
		acknowledgeAt: "box",
		afterwards: "go on",
		sensors: ["flow-pulse"],
	},
	"prime-failed": {
		severity: 2,
		cause: "fuel did not arrive in any of the tries",
		toDo: "fill the bowl by hand, look for an air leak, put the tube into the fuel",
		stillThere: gone,
		acknowledgeAt: "box",
		afterwards: "go on",
		sensors: ["flow-pulse"],
	},
	"time-limit": {
		severity: 1,
		cause: "the order was at work longer than its limit allows",
		toDo: "compare litres with hours: slow flow, or a goal that was too large; order again",
		stillThere: gone,
		acknowledgeAt: "anywhere",
		afterwards: "end the order",
		sensors: [],
	},
} as const satisfies Record<string, TripRow>;

export type TripCode = keyof typeof rows;

export const trips: Readonly<Record<TripCode, TripRow>> = rows;

/** Codes, worst first. */
export const tripCodes = (Object.keys(rows) as TripCode[]).sort(
	(a, b) => trips[b].severity - trips[a].severity,
);
