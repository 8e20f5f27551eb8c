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

process.once("message", (job: EmulatedJob) => {
	const { scenario, rig, pins, seed, traced } = job;
	runEmulated(scenario, rig, pins, seed, traced).then(
		({ boots, ...run }) => process.send?.({ run, boots: packBoots(boots) }, () => process.exit(0)),
		(error: unknown) => process.send?.({ failure: String(error) }, () => process.exit(1)),
	);
});

// Whoever waits for the result has gone: nobody wants it any more.
process.once("disconnect", () => process.exit(1));
