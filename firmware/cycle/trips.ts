// The trip catalogue: every protective stop that latches. One row makes the statechart's rules,
// the account's words and the docs table. Worst severity is shown first; a trip never clears by
// itself. What no sensor can see (film, emulsion, ice) is not in here: see hardware/hazards.yaml.

import type { FindingName } from "../sense/finding-names.ts";
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

/** There as long as that finding is. */
const asLongAs =
	(finding: FindingName, words: string) =>
	({ seen }: Present) =>
		seen.includes(finding) ? words : null;

const rows = {
	"relay-stuck": {
		severity: 9,
		cause: "current in the motor's line while it was switched off: a contact is welded",
		toDo: "open the isolator now and lock it; replace the welded contact before the next start",
		stillThere: asLongAs("stray", "current still flows: open the isolator"),
		acknowledgeAt: "box",
		afterwards: "end the order",
		sensors: ["motor-current"],
	},
	"beat-forged": {
		severity: 9,
		cause: "the beat's pin can make edges by itself: the dead-man no longer watches the controller",
		toDo:
			"open the isolator now; take the board's supply away and give it back, then look whether " +
			"the trip can be acknowledged; replace a board that does it again",
		stillThere: asLongAs("beatForged", "the beat's pin is not a plain output"),
		acknowledgeAt: "box",
		afterwards: "end the order",
		sensors: ["beat-mode"],
	},
	leak: {
		severity: 8,
		cause: "there is fuel in the tray under the rig",
		toDo:
			"isolator off; shut the tank's valves; no flame, no switch near it; soak it up, keep it " +
			"out of the bilge, the bilge pump off while you watch; find and mend the joint; dry the tray",
		stillThere: asLongAs("leak", "the tray is not dry"),
		acknowledgeAt: "box",
		afterwards: "end the order",
		sensors: ["tray"],
	},
	"return-out": {
		severity: 8,
		cause: "the return is not locked into its filler",
		toDo: "look for spilt fuel first; put the return back and lock it; set up and arm again",
		stillThere: asLongAs("returnOut", "the return's switch is open"),
		acknowledgeAt: "box",
		afterwards: "end the order",
		sensors: ["return-seat"],
	},
	"wrong-tank": {
		severity: 8,
		cause: "the tank's level changes while it is polished: tube and return are in two tanks",
		toDo: "look at both tanks and for spilt fuel; put tube and return into the tank ordered",
		stillThere: asLongAs("levelsDiffer", "the levels under tube and return differ"),
		acknowledgeAt: "box",
		afterwards: "end the order",
		sensors: ["level-from", "level-to"],
	},
	"volume-imbalance": {
		severity: 8,
		cause: "in a transfer litres out of one tank, metered and into the other differ",
		toDo: "look for spilt fuel, in the bilge too; check return and meter; dip both tanks",
		stillThere: gone,
		acknowledgeAt: "box",
		afterwards: "end the order",
		sensors: ["level-from", "level-to", "flow-pulse"],
	},
	"destination-full": {
		severity: 8,
		cause: "the tank that the return hangs in is full to its ullage line",
		toDo: "look at the tank; make room, or order less",
		stillThere: gone,
		acknowledgeAt: "anywhere",
		afterwards: "end the order",
		sensors: ["level-to"],
	},
	"flow-when-stopped": {
		severity: 8,
		cause: "the meter turns although the pump is off: fuel siphons",
		toDo: "shut the valves now; clear the anti-siphon hole; look at the levels of both tanks",
		stillThere: asLongAs("siphon", "the meter still turns"),
		acknowledgeAt: "box",
		afterwards: "end the order",
		sensors: ["flow-pulse"],
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
	overcurrent: {
		severity: 7,
		cause: "the motor draws far more than it should: it is seized or something is in the pump",
		toDo: "isolator off and locked; turn the pump by hand, look for what blocks it",
		stillThere: gone,
		acknowledgeAt: "box",
		afterwards: "end the order",
		sensors: ["motor-current"],
	},
	"motor-hot": {
		severity: 7,
		cause: "the motor's case is too hot",
		toDo: "let it cool; look at its cooling, the fuel's viscosity and a plugged element",
		stillThere: asLongAs("motorHot", "the case has not cooled yet"),
		acknowledgeAt: "box",
		afterwards: "go on",
		sensors: ["case-temperature"],
	},
	"discharge-blocked": {
		severity: 7,
		cause: "the pressure after the pump passed the switch's mark",
		toDo: "isolator off; open the return's valve, look for a kink; let the pressure off into a can",
		stillThere: asLongAs("dischargeBlocked", "the pressure switch is still open"),
		acknowledgeAt: "box",
		afterwards: "go on",
		sensors: ["pressure-switch"],
	},
	"tank-vent-blocked": {
		severity: 6,
		cause: "vacuum grows as the tank empties, faster than its level explains: the vent is blocked",
		toDo: "open the filler slowly and listen for air; clear the vent before you go on",
		stillThere: gone,
		acknowledgeAt: "box",
		afterwards: "go on",
		sensors: ["vacuum", "level-from"],
	},
	"tube-out": {
		severity: 6,
		cause: "the tube's head is not seated on the filler",
		toDo: "look for spilt fuel; put the tube back to its place; set up and arm again",
		stillThere: asLongAs("tubeOut", "the tube's switch is open"),
		acknowledgeAt: "box",
		afterwards: "end the order",
		sensors: ["tube-seat"],
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
	"supply-high": {
		severity: 6,
		cause: "the supply's voltage is too high: a charger that does not stop",
		toDo: "switch the charger off and look at the battery: hot, hissing or swollen means stay away",
		stillThere: asLongAs("supplyHigh", "the voltage is still too high"),
		acknowledgeAt: "box",
		afterwards: "go on",
		sensors: ["supply-volts"],
	},
	"supply-low": {
		severity: 5,
		cause: "the supply's voltage is too low under the pump's load",
		toDo: "charge the battery; look at the isolator, the fuse and the joints of the cable",
		stillThere: asLongAs("supplyLow", "the voltage is still too low"),
		acknowledgeAt: "anywhere",
		afterwards: "go on",
		sensors: ["supply-volts"],
	},
	"no-current": {
		severity: 5,
		cause: "the motor draws no current although it is switched on",
		toDo: "isolator off; look at the motor's wire, its brushes and its thermal cut-out",
		stillThere: gone,
		acknowledgeAt: "box",
		afterwards: "go on",
		sensors: ["motor-current"],
	},
	"sensor-fault": {
		severity: 5,
		cause: "a sensor that the pump must not run without says nothing sensible",
		toDo: "look at its plug and wire; unknown is treated as the worst until it reads again",
		stillThere: ({ unknown, unknownOptional, attended }) => {
			const all = attended ? unknown : [...unknown, ...unknownOptional];
			return all.length === 0 ? null : `unknown: ${all.join(", ")}`;
		},
		acknowledgeAt: "box",
		afterwards: "go on",
		sensors: [],
	},
	"too-cold": {
		severity: 4,
		cause: "the fuel stayed too cold for longer than the order may wait",
		toDo: "wait for warmer fuel; drain water from the bowl before it freezes",
		stillThere: asLongAs("cold", "the fuel is still too cold"),
		acknowledgeAt: "box",
		afterwards: "end the order",
		sensors: ["fuel-temperature"],
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
	"suction-blocked": {
		severity: 4,
		cause: "the vacuum rose at once: tube against a wall or in sludge, or element plugged",
		toDo: "lift the tube a little and clear it; leave the element until the vacuum stays high",
		stillThere: gone,
		acknowledgeAt: "box",
		afterwards: "go on",
		sensors: ["vacuum"],
	},
	"restriction-high": {
		severity: 4,
		cause: "the vacuum has grown past its limit: thick fuel, tube or element; the words say which",
		toDo:
			"thick fuel or wax: warm it and leave the element; tube: lift and clear it; dirt: isolator " +
			"off and locked, change the element, refill the bowl",
		stillThere: gone,
		acknowledgeAt: "box",
		afterwards: "go on",
		sensors: ["vacuum"],
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
	"source-low": {
		severity: 3,
		cause: "the tank that the tube stands in is nearly empty",
		toDo: "fill it, or be content: what is left is for a sample and a rag",
		stillThere: gone,
		acknowledgeAt: "box",
		afterwards: "end the order",
		sensors: ["level-from"],
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
