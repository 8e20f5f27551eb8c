// Mistakes of the build, there from the first day: the steps of commissioning are to find them, and
// no trip can. Each row says which step does. A campaign draws none of them: it plays rigs that
// have been proven. Imports the names of steps.

import type { Step } from "../firmware/commission/step-ways.ts";

interface BuildFaultRow {
	readonly what: string;
	/** The step of commissioning that finds it. */
	readonly foundBy: Step;
}

const rows = {
	"stop-outside-loop": {
		what: "the stop button's first pole is not in K2's loop: the computer alone sees it",
		foundBy: "stop-cuts",
	},
	"return-outside-loop": {
		what: "the return switch's first pole is bridged: it does not open K2",
		foundBy: "return-cuts",
	},
	"horn-silent": { what: "the horn makes no sound", foundBy: "horn" },
	"trip-lamp-dark": { what: "the trip lamp does not shine", foundBy: "lamps" },
	"tray-blind": { what: "the tray's sensor does not answer to diesel", foundBy: "tray" },
} as const satisfies Record<string, BuildFaultRow>;

export type BuildFault = keyof typeof rows;
export const buildFaults = Object.keys(rows) as BuildFault[];
export const buildFaultRows: Readonly<Record<BuildFault, BuildFaultRow>> = rows;
