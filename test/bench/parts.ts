// The parts of `npm run bench`, in the order in which they run: each measures something against a
// peer or a limit, and can be asked for by its name.

import { timeArchive } from "./archive-speed.ts";
import { timeCampaign } from "./campaign-speed.ts";
import { timeClosedLoop } from "./closed-loop.ts";
import { timeEmulated } from "./emulated-speed.ts";
import { measureLateness } from "./lateness.ts";
import { timeUnderFlood } from "./link-flood.ts";
import { measureMemory } from "./memory.ts";
import { timePage } from "./page-speed.ts";
import { comparePlants } from "./plant-speed.ts";
import { PlantTwin } from "./plant-twin.ts";
import { timeStartUp } from "./start-up.ts";
import type { Figure } from "./table.ts";
import { timeWire } from "./wire-speed.ts";

export interface Measured {
	/** For whoever looks closer; the first row is the head. */
	readonly rows: readonly (readonly string[])[];
	readonly figures: readonly Figure[];
}

export interface Part {
	readonly name: string;
	/** Of many minutes: left out by `--short`. */
	readonly isLong?: true;
	/**
	 * @param scratch a folder on the disk whose syncs count
	 * @param minutes how long a long part takes
	 */
	readonly measure: (
		root: string,
		scratch: string,
		minutes: number,
	) => Measured | Promise<Measured>;
}

export const parts: readonly Part[] = [
	{
		name: "plant",
		measure: (root, scratch) => {
			const { rows, figure } = comparePlants(root, new PlantTwin(root, scratch));
			return { rows, figures: [figure] };
		},
	},
	{
		name: "closed-loop",
		measure: async (root) => {
			const { parts, functions, figure } = await timeClosedLoop(root);
			return { rows: [...parts, ["", "", ""], ...functions], figures: [figure] };
		},
	},
	{
		name: "page",
		measure: async (root) => {
			const { rows, figure } = await timePage(root);
			return { rows, figures: [figure] };
		},
	},
	{ name: "campaign", measure: timeCampaign },
	{ name: "emulated", measure: timeEmulated },
	{ name: "start-up", measure: timeStartUp },
	{ name: "memory", measure: measureMemory },
	{
		name: "flood",
		measure: async (root, scratch) => {
			const { rows, figure } = await timeUnderFlood(root, scratch);
			return { rows, figures: [figure] };
		},
	},
	{ name: "archive", measure: (_, scratch) => timeArchive(scratch) },
	{ name: "wire", measure: timeWire },
	{ name: "lateness", isLong: true, measure: measureLateness },
];
