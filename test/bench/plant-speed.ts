// The plant's step against its C twin: steps a second of each, alternated in one run on one
// machine, so that what else the machine does meets both. Imports the twin.

import { advancePlant, createPlant, type PlantTwin } from "./plant-twin.ts";
import { type Figure, median } from "./table.ts";

/** The share of the twin's steps a second that the model must reach. */
const GOAL = 0.6;
/** 3 h 20 min of the world: some tenths of a second of work. */
const STEPS = 120_000;
const ROUNDS = 9;
const WARM_UP = 4;

/** Time of a fresh model's steps, s, and the litres that it pumped. */
function timeModel(root: string): { seconds: number; litres: number } {
	const plant = createPlant(root);
	const from = process.hrtime.bigint();
	for (let step = 0; step < STEPS; step += 1) advancePlant(plant, step);
	const seconds = Number(process.hrtime.bigint() - from) / 1e9;
	return { seconds, litres: plant.model.path.truth.litresThroughPump };
}

/** @throws Error when the two have not pumped the same: then their times compare nothing */
export function comparePlants(root: string, twin: PlantTwin): { figure: Figure; rows: string[][] } {
	// The first rounds compile the model and are not counted.
	for (let round = 0; round < WARM_UP; round += 1) timeModel(root);
	const ours: number[] = [];
	const twins: number[] = [];
	for (let round = 0; round < ROUNDS; round += 1) {
		const twinFirst = round % 2 === 1 ? twin.time(STEPS) : null;
		const model = timeModel(root);
		const c = twinFirst ?? twin.time(STEPS);
		if (Math.abs(model.litres / c.litres - 1) > 1e-9) {
			throw new Error(`the model pumped ${model.litres} L, its twin ${c.litres} L`);
		}
		ours.push(model.seconds);
		twins.push(c.seconds);
	}
	const ratios = ours.map((seconds, i) => (twins[i] ?? Number.NaN) / seconds);
	const row = (name: string, seconds: readonly number[]) => {
		const ns = seconds.map((s) => (s / STEPS) * 1e9);
		const [middle, best, worst] = [median(ns), Math.min(...ns), Math.max(...ns)];
		return [
			name,
			Math.round(1e9 / middle).toLocaleString("en"),
			...[middle, best, worst].map((value) => value.toFixed(0)),
		];
	};
	const rows = [
		["plant", "steps/s", "ns/step, median", "least", "most"],
		row("model", ours),
		row("C twin, gcc -O2", twins),
	];
	const value = median(ratios);
	const spread = `${Math.min(...ratios).toFixed(2)} to ${Math.max(...ratios).toFixed(2)}`;
	const shown = `${value.toFixed(2)} of the twin's steps a second (${ROUNDS} rounds, ${spread})`;
	const peer = `${Math.round(STEPS / median(twins)).toLocaleString("en")} steps/s of the C twin`;
	const figure = {
		...{ what: "plant step", shown, goal: `at least ${GOAL}`, met: value >= GOAL },
		...{ peer, ratio: value },
	};
	return { figure, rows };
}
