// What makes a wiring a good one, as a list of rules with their reasons: each is a pure function
// from the netlist to lines that say what does not hold. `npm run docs` refuses to draw a wiring
// that breaks one; a spoilt netlist for each rule shows that it bites.

import { inputsGuarded, voltsInRange } from "./input-volts.ts";
import type { Netlist } from "./netlist.ts";
import * as pin from "./pin-rules.ts";
import * as power from "./power-rules.ts";
import { sensorsAtTheirChannel } from "./sensor-rules.ts";

export interface Rule {
	readonly says: string;
	readonly check: (list: Netlist) => string[];
}

export const rules = {
	"two-ends": { says: "Each net has at least two ends.", check: pin.twoEndsEach },
	"one-net": { says: "Each terminal is on exactly one net.", check: pin.oneNetEach },
	"fuse-at-source": {
		says: "Each supply has a fuse at its source, or limits its own current.",
		check: power.fuseAtSource,
	},
	"conductor-for-fuse": {
		says: "No conductor is thinner than the fuse before it asks.",
		check: power.conductorForFuse,
	},
	"current-within-rating": {
		says: "Each load's current is within the rating of its fuse, contacts and driver.",
		check: power.currentWithinRating,
	},
	"fuse-outlasts-start": {
		says: "The pump's fuse outlasts its start.",
		check: power.fuseOutlastsStart,
	},
	"flyback-path": {
		says: "Each coil, motor and horn has a flyback diode of its current across it.",
		check: power.flybackPath,
	},
	"power-path": {
		says: "From battery to pump: fuse, isolator, shunt, K2, K1; no way round, nothing in between.",
		check: power.powerPathOrder,
	},
	"shunt-for-pump": {
		says: "Nothing but the pump draws through the shunt.",
		check: power.shuntForPumpOnly,
	},
	"k2-loop": {
		says: "Stop, return and pressure switch in series with K2's coil, else nothing on their wires.",
		check: power.k2Loop,
	},
	"spikes-held": {
		says: "Behind the isolator a suppressor holds spikes below what the monitor stands.",
		check: power.spikesHeld,
	},
	"driven-once": { says: "No wire and no pin is driven twice.", check: pin.nothingDrivenTwice },
	"channels-wired": {
		says: "Every channel of the pin map is wired, once, and nothing else is.",
		check: pin.everyChannelWired,
	},
	"pull-downs": {
		says: "Each output has one pull-down of the pin map, to 0 V; the dead-man brings the beat's.",
		check: pin.pullDownEach,
	},
	"series-resistors": {
		says: "Each digital pin whose wire leaves the board's box has ohms that let it live with 12 V.",
		check: pin.seriesEach,
	},
	"inputs-held": {
		says: "Each digital input is pulled to a level while nothing drives it.",
		check: pin.digitalInputsHeld,
	},
	"volts-in-range": {
		says: "Analog inputs stay within 0 V and the reference in every state, and states stay apart.",
		check: voltsInRange,
	},
	"inputs-guarded": {
		says: "Each analog input has a guard, so that 12 V on its wire spares the pin.",
		check: inputsGuarded,
	},
	"own-channel": {
		says: "Each sensor is on its channel's wire, with its pull-up to 5 V and its return to 0 V.",
		check: sensorsAtTheirChannel,
	},
	beat: {
		says: "The beat goes to the dead-man and to nothing else.",
		check: pin.beatForDeadManOnly,
	},
	"test-plugs": {
		says: "A plug that a test plug may replace carries a switch's second pole, and nothing else.",
		check: pin.testPlugsBlindOnly,
	},
	bus: {
		says: "The bus has its pull-ups, and monitor and converter hang on it.",
		check: pin.busPulledUp,
	},
	"one-ground-joint": {
		says: "0 V of power and of sensors meet once; no 12 V load returns over the sensors' 0 V.",
		check: pin.oneGroundJoint,
	},
	bonding: { says: "Tube, housing, return and filler are bonded.", check: pin.bonded },
} as const satisfies Readonly<Record<string, Rule>>;

export type RuleName = keyof typeof rules;
export const ruleNames = Object.keys(rules) as RuleName[];

/** `rule: what does not hold`, a line each; empty when all is well. */
export const wiringProblems = (list: Netlist): string[] =>
	ruleNames.flatMap((name) => rules[name].check(list).map((line) => `${name}: ${line}`));
