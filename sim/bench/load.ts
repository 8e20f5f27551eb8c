// Finds and reads scenarios, rigs and the pin map on disk. Node only; the readers that it hands the
// text to are pure.

import { readdirSync } from "node:fs";
import { dirname, join, resolve } from "node:path";
import { InputError } from "../../firmware/config/input-error.ts";
import { readInputFile } from "../../firmware/config/input-file.ts";
import { type PinMap, readPinMap } from "../../firmware/config/pins.ts";
import { type Rig, readRig } from "../../firmware/config/rig.ts";
import type { Scenario } from "./scenario.ts";
import { readScenario } from "./scenario-reader.ts";

const ENDING = ".bench.yaml";

export interface Loaded {
	readonly name: string;
	readonly scenario: Scenario;
	readonly rig: Rig;
}

/** Reads a scenario and the rig whose path it gives. @throws InputError */
export function loadScenario(file: string): Loaded {
	return load(file, (path) => resolve(dirname(file), path));
}

/** The same, for one that may name a rig that comes with the project. @throws InputError */
export function loadOwnScenario(file: string, root: string): Loaded {
	return load(file, (path) =>
		path.includes("/") || path.endsWith(".yaml")
			? resolve(dirname(file), path)
			: shippedRig(root, path),
	);
}

function load(file: string, rigFileOf: (named: string) => string): Loaded {
	const { scenario, rig } = readScenario(readInputFile(file), file, (named) => {
		const rigFile = rigFileOf(named);
		return readRig(readInputFile(rigFile), rigFile);
	});
	return { name: nameOf(file), scenario, rig };
}

/** The file of a rig that comes with the project. */
export const shippedRig = (root: string, name: string): string =>
	join(root, "sim", "bench", "rigs", `${name}.rig.yaml`);

export function loadPins(root: string): PinMap {
	const file = join(root, "hardware", "pins.yaml");
	return readPinMap(readInputFile(file), file);
}

/** The scenarios that come with the project, by name in alphabetical order. */
export function shippedScenarios(root: string): string[] {
	const folder = join(root, "sim", "bench", "scenarios");
	const files = readdirSync(folder).filter((file) => file.endsWith(ENDING));
	// Without the ending, which would put `a-b` before `a`.
	const names = files.map(nameOf).sort();
	return names.map((name) => join(folder, `${name}${ENDING}`));
}

/**
 * A scenario's file from what a person typed: a path, or the name of a shipped one.
 * @throws InputError listing the names when there is no such scenario
 */
export function findScenario(root: string, typed: string): string {
	if (typed.endsWith(".yaml") || typed.includes("/")) return typed;
	const shipped = shippedScenarios(root);
	const found = shipped.find((file) => nameOf(file) === typed);
	if (found !== undefined) return found;
	const allowed = `a path that ends in ${ENDING}, or one of ${shipped.map(nameOf).join(", ")}`;
	throw new InputError([{ file: typed, found: "no scenario of that name", allowed }]);
}

/** The file's name without its ending. */
export function nameOf(file: string): string {
	const last = file.slice(file.lastIndexOf("/") + 1);
	return last.endsWith(ENDING) ? last.slice(0, -ENDING.length) : last;
}
