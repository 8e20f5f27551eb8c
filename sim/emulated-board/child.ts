// The process of one emulated run: takes its order as the first message, answers with the run, and
// ends. Started by process.ts.

import type { PinMap } from "../../firmware/config/pins.ts";
import type { Rig } from "../../firmware/config/rig.ts";
import type { Scenario } from "../bench/scenario.ts";
import { packBoots } from "./boot-message.ts";
import { runEmulated } from "./lockstep.ts";

/** What one emulated run needs. */
export interface EmulatedJob {
	readonly scenario: Scenario;
	readonly rig: Rig;
	readonly pins: PinMap;
	readonly seed: number;
	readonly traced?: boolean;
}

// A run hears no event before its end: that its parent has gone shows in whose child it is.
const parent = process.ppid;
const isWanted = () => process.ppid === parent;

process.once("message", (job: EmulatedJob) => {
	const { scenario, rig, pins, seed, traced } = job;
	runEmulated(scenario, rig, pins, seed, traced, isWanted).then(
		({ boots, ...run }) => process.send?.({ run, boots: packBoots(boots) }, () => process.exit(0)),
		(error: unknown) => process.send?.({ failure: String(error) }, () => process.exit(1)),
	);
});

// Before a run has begun the line to the parent tells it.
process.once("disconnect", () => process.exit(1));
