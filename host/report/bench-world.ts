// What the bench page is given when it is built: the rigs that come with the project, the pin map,
// how some of the scenarios begin, and which trips answer which hazard. Node; read by the page's
// build and by tests.

import { readdirSync } from "node:fs";
import { join } from "node:path";
import { readInputFile } from "../../firmware/config/input-file.ts";
import { type Rig, readRig } from "../../firmware/config/rig.ts";
import { loadPins, loadScenario, shippedRig } from "../../sim/bench/load.ts";
import type { BenchWorld, Start } from "../web/bench/world.ts";
import { readHazards } from "./hazards.ts";

/** The first is what the page opens with. */
const STARTS = [
	"clean-polish",
	"water-under-the-tube",
	"sweep-after-a-stand",
	"cans-into-the-day-tank",
	"rolling-anchorage",
	"cold-morning",
	"weak-battery-and-sun",
	"winter-polish",
];

const RIG_ENDING = ".rig.yaml";

export function benchWorld(root: string): BenchWorld {
	const rigs = rigsOf(root);
	const hazardFile = join(root, "hardware", "hazards.yaml");
	const { hazards } = readHazards(readInputFile(hazardFile), hazardFile);
	return {
		rigs,
		pins: loadPins(root),
		starts: STARTS.map((name) => startOf(root, name)),
		hazards: hazards.map(({ hazard, trips }) => ({ hazard, trips })),
	};
}

function rigsOf(root: string): Record<string, Rig> {
	const files = readdirSync(join(root, "sim", "bench", "rigs"));
	const names = files
		.filter((file) => file.endsWith(RIG_ENDING))
		.map((file) => file.slice(0, -RIG_ENDING.length));
	return Object.fromEntries(
		names.map((name) => {
			const file = shippedRig(root, name);
			return [name, readRig(readInputFile(file), file)];
		}),
	);
}

function startOf(root: string, name: string): Start {
	const file = join(root, "sim", "bench", "scenarios", `${name}.bench.yaml`);
	const { start, seed, rig } = loadScenario(file).scenario;
	const rigName = rig.slice(rig.lastIndexOf("/") + 1, -RIG_ENDING.length);
	return { name, rigName, seed, start };
}
