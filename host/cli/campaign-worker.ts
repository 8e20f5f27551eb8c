// A thread of `lees campaign`: plays the seeds that it is sent, a few at a time, and sends back
// what they add up to. Started by campaign.ts.

import { parentPort, workerData } from "node:worker_threads";
import { playSeed } from "../../sim/bench/campaign/seed-run.ts";
import { addTallies, NO_RUNS, tallyOf } from "../../sim/bench/campaign/tally.ts";
import { loadPins } from "../../sim/bench/load.ts";
import { projectRoot } from "./root.ts";

export interface SeedRange {
	readonly from: number;
	/** Included. */
	readonly to: number;
}

const { hoursMax } = workerData as { hoursMax: number };
const pins = loadPins(projectRoot);

parentPort?.on("message", ({ from, to }: SeedRange) => {
	let tally = NO_RUNS;
	for (let seed = from; seed <= to; seed += 1) {
		tally = addTallies(tally, tallyOf(playSeed(seed, pins, { hoursMax })));
	}
	parentPort?.postMessage(tally);
});
