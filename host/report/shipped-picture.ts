// The README's picture of a run: a shipped scenario on the model board. Imports the bench and the
// picture.

import { join } from "node:path";
import { sumUp } from "../../sim/bench/judge.ts";
import { findScenario, loadPins, loadScenario } from "../../sim/bench/load.ts";
import { runScenario } from "../../sim/bench/runner.ts";
import { runPlot } from "./run-plot.ts";

const SHOWN = "water-in-the-bowl";

/** From the project's folder. */
export const shippedPicture = join("sim", "bench", `${SHOWN}.svg`);

export function picture(root: string): string {
	const { name, scenario, rig } = loadScenario(findScenario(root, SHOWN));
	const run = runScenario(scenario, rig, loadPins(root), { traced: true });
	if (run.trace === null) return "";
	return runPlot(run, sumUp(name, run, 0), run.trace);
}
