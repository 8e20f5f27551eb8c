// Reads a scenario's text: its schema, what the schema cannot see alone, and its near misses, with
// every complaint placed at its line and column. Pure.

import { readDocument } from "../../firmware/config/document.ts";
import { InputError } from "../../firmware/config/input-error.ts";
import type { Rig } from "../../firmware/config/rig.ts";
import { placeOf, type Scenario, scenarioInstead, scenarioSchema } from "./scenario.ts";
import { misfits } from "./scenario-checks.ts";

/**
 * Reads and checks a scenario's text; its rig is read by `loadRig` from the path it names.
 * @throws InputError naming file, line, column, key, what was found and what is allowed
 */
export function readScenario(
	text: string,
	file: string,
	loadRig: (path: string) => Rig,
): { scenario: Scenario; rig: Rig } {
	const { value: scenario, problem } = readDocument(text, file, scenarioSchema);
	const rig = loadRig(scenario.rig);
	const problems = misfits(scenario, rig).map(({ path, allowed }) => problem(path, allowed));
	scenario.nearly.forEach((miss, i) => {
		const at = (place: string) => ["nearly", i, "ifInstead", place];
		const instead = scenarioInstead(scenario, miss);
		if ("place" in instead) {
			problems.push(problem(at(instead.place), instead.allowed));
			return;
		}
		// What is wrong in the file as it stands has been told.
		if (problems.length > 0) return;
		for (const { path, allowed } of misfits(instead.scenario, rig)) {
			problems.push(problem(at(placeOf(path, miss.ifInstead)), allowed));
		}
	});
	if (problems.length > 0) throw new InputError(problems);
	return { scenario, rig };
}
