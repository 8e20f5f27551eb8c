// A thread of `lees bench all`: plays the scenarios that it is sent, one after the other, and sends
// back what came of each. Started by library-play.ts.

import { parentPort, workerData } from "node:worker_threads";
import type { PinMap } from "../../firmware/config/pins.ts";
import { runScenario } from "../../sim/bench/runner.ts";
import { type Play, playedFrom } from "./play.ts";

const { pins } = workerData as { pins: PinMap };

parentPort?.on("message", (play: Play) => {
	const began = process.hrtime.bigint();
	const run = runScenario(play.scenario, play.rig, pins, { seed: play.seed });
	parentPort?.postMessage(playedFrom(play, run, began));
});
