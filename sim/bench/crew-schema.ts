// What people do in a scenario: each act with what has to be said of it, and the schema of an
// entry. Imports zod, the names of faults and steps, and the acts at the rig.

import * as z from "zod";
import { type Step, steps } from "../../firmware/commission/step-ways.ts";
import { type Fault, faults } from "../faults.ts";
import { handActs } from "../hand-acts.ts";

const details = ["tank", "litres", "grams", "volts", "fault", "step"] as const;
type Detail = (typeof details)[number];

interface ActRow {
	readonly what: string;
	readonly needs?: readonly Detail[];
	readonly may?: readonly Detail[];
}

export const crewActs = {
	commission: { what: "has proven every stop: from now on the rig may be left alone" },
	"drain-bowl": { what: "drains the bowl into a container and notes the mL over the link" },
	"fill-bowl": { what: "fills the bowl from the can" },
	"fetch-can": { what: "has a full can of clean fuel, 20 L and a bowl, at hand" },
	"wet-probe": { what: "pours water into the bowl up to its probe" },
	"change-element": { what: "puts in a new element" },
	"press-acknowledge": { what: "presses the box's button for 0.4 s" },
	confirm: { what: "presses it, to say that somebody is at the rig" },
	arm: { what: "holds it for 3.5 s: armed, and acknowledged" },
	disarm: { what: "opens the isolator for 2 s" },
	"press-stop": { what: "presses the stop button, which stays pressed" },
	"release-stop": { what: "turns it to release it" },
	"open-isolator": { what: "opens the isolator" },
	"close-isolator": { what: "closes it" },
	"lower-tube": { what: "puts the tube's end back into the fuel" },
	"seat-tube": { what: "lifts, clears and seats the tube" },
	"seat-return": { what: "puts the return back into its filler and locks it" },
	"move-tube": { what: "puts the tube into another tank", needs: ["tank"] },
	"move-return": { what: "puts the return into another tank", needs: ["tank"] },
	pour: { what: "pours from a can into a tank, by hand", needs: ["tank", "litres"] },
	"pour-water": {
		what: "pours fresh water into a tank, where it sinks to the floor",
		needs: ["tank", "litres"],
	},
	"add-sludge": { what: "puts sludge onto a tank's floor, so much dirt", needs: ["tank", "grams"] },
	"add-dirt": { what: "puts dirt into a tank's fuel, afloat", needs: ["tank", "grams"] },
	"dry-tray": { what: "soaks up what is in the tray" },
	"change-battery": { what: "another battery, at rest at so many volts", needs: ["volts"] },
	mend: { what: "mends a fault; without a name all of them", may: ["fault"] },
	"see-to-it": {
		what:
			"from now on does what each trip asks, acknowledges, and orders again what is left of the " +
			"first order, until it has finished",
	},
	...handActs,
	"prove-all": {
		what:
			"proves the rig: takes each step of commissioning that is due, does what it asks, and goes " +
			"on until none is due or one has failed three times",
	},
	prove: { what: "takes that step of commissioning, due or not", needs: ["step"] },
	"look-on": { what: "looks on and does nothing: the story lasts until then" },
	"restart-controller": { what: "switches the controller's computer off and on" },
	"acknowledge-by-link": { what: "acknowledges over the link" },
	"stop-by-link": { what: "stops over the link" },
} as const satisfies Record<string, ActRow>;

export type CrewAction = keyof typeof crewActs;
export const crewActions = Object.keys(crewActs) as CrewAction[];

/** An act, and what is said of it. */
export interface CrewAct {
	readonly does: CrewAction;
	readonly tank?: string | undefined;
	readonly litres?: number | undefined;
	readonly grams?: number | undefined;
	readonly volts?: number | undefined;
	readonly fault?: Fault | undefined;
	readonly step?: Step | undefined;
}

export const crewActFields = {
	does: z.enum(crewActions).describe("an act"),
	tank: z
		.string()
		.optional()
		.describe("of move-tube, move-return, pour, pour-water, add-sludge, add-dirt"),
	litres: z.number().positive().max(200).optional().describe("of pour, pour-water, L"),
	grams: z.number().positive().max(10_000).optional().describe("of add-sludge, add-dirt, g"),
	volts: z.number().min(8).max(32).optional().describe("of change-battery, V at rest"),
	fault: z.enum(faults).optional().describe("of mend; left out: all of them"),
	step: z
		.enum(steps as [Step, ...Step[]])
		.optional()
		.describe("of prove: a step of commissioning"),
};

/** Where an act lacks a detail, or has one that is not its own: the key, and what is allowed. */
export function detailProblem(act: CrewAct): { key: Detail; allowed: string } | null {
	const { needs = [], may = [] }: ActRow = crewActs[act.does];
	for (const key of details) {
		const isThere = act[key] !== undefined;
		if (needs.includes(key) && !isThere) return { key, allowed: `one: ${act.does} needs it` };
		if (isThere && !needs.includes(key) && !may.includes(key)) {
			return { key, allowed: `left out: ${act.does} takes none` };
		}
	}
	return null;
}
