// What is wrong with a hazard analysis, held against the world around it: trips, interlock, pin
// map, coverage table, scenarios, tests. Pure: a test hands it the real world and, to see each rule
// bite, a spoiled one.

import { type Hazard, type HazardFile, POINTS, type Proof } from "../../host/report/hazards.ts";

/** All that the analysis speaks of. */
export interface World {
	readonly tripCodes: readonly string[];
	readonly interlockCodes: readonly string[];
	/** Names of the pin map's channels. */
	readonly channels: readonly string[];
	readonly optionalSensors: readonly string[];
	/** Sensors that each row of the coverage table needs. */
	readonly coverage: Readonly<Record<string, readonly string[]>>;
	/** Trips that each scenario expects, by its name. */
	readonly scenarios: ReadonlyMap<string, readonly string[]>;
	/** Titles in each test file, by its path. */
	readonly titles: ReadonlyMap<string, readonly string[]>;
	/** Paths of the project's files. */
	readonly files: ReadonlySet<string>;
}

/** What may detect something beside a channel of the pin map. */
const OTHER_MEANS = ["log", "board", "beat-mode", "clock", "person"];

/** A line for each thing that does not hold; empty when all does. */
export function problemsOf(file: HazardFile, world: World): string[] {
	return [
		...file.hazards.flatMap((hazard) => [
			...tripProblems(hazard, world),
			...sensorProblems(hazard, world),
			...proofProblems(hazard, file, world),
		]),
		...missing(
			world.tripCodes,
			file.hazards.flatMap(({ trips }) => trips),
		).map((code) => `trip ${code} is in no hazard`),
		...missing(
			world.interlockCodes,
			file.hazards.flatMap((row) => row.interlock ?? []),
		).map((code) => `the interlock's ${code} is in no hazard`),
		...missing(
			Object.keys(world.coverage),
			file.hazards.map(({ hazard }) => hazard),
		).map((row) => `coverage row ${row} has no hazard`),
		...proofTestProblems(file),
		...requirementProblems(file, world),
	];
}

const missing = (wanted: readonly string[], there: readonly string[]) =>
	wanted.filter((one) => !there.includes(one));

function tripProblems({ hazard, trips, interlock = [] }: Hazard, world: World): string[] {
	return [
		...missing(trips, world.tripCodes).map((code) => `${hazard}: no trip ${code}`),
		...missing(interlock, world.interlockCodes).map(
			(code) => `${hazard}: the interlock has no rule for ${code}`,
		),
	];
}

/** Channels exist; what only optional sensors see is in the coverage table with those sensors. */
function sensorProblems(row: Hazard, world: World): string[] {
	const { hazard, detectedBy } = row;
	const unknown = missing(detectedBy, [...world.channels, ...OTHER_MEANS]);
	const problems = unknown.map((name) => `${hazard}: ${name} is not in pins.yaml`);
	const named = row.coverage ?? (hazard in world.coverage ? [hazard] : []);
	const strangers = missing(named, Object.keys(world.coverage));
	problems.push(...strangers.map((name) => `${hazard}: no coverage row ${name}`));
	const needs = named.flatMap((name) => world.coverage[name] ?? []);
	if (detectedBy.every((name) => world.optionalSensors.includes(name))) {
		problems.push(
			...missing(detectedBy, needs).map((name) => `${hazard}: ${name} alone is in no coverage row`),
		);
	}
	const own = world.coverage[hazard] ?? [];
	problems.push(
		...missing(own, detectedBy).map((name) => `${hazard}: coverage needs ${name}, detectedBy not`),
	);
	return problems;
}

function proofProblems({ hazard, trips, proof }: Hazard, file: HazardFile, world: World): string[] {
	if (proof.length === 0) return [`${hazard}: no proof`];
	return proof.flatMap((one) => {
		const wrong = proofProblem(one, trips, file, world);
		return wrong === null ? [] : [`${hazard}: ${wrong}`];
	});
}

function proofProblem(
	proof: Proof,
	trips: readonly string[],
	{ proofTests }: HazardFile,
	world: World,
): string | null {
	if ("proofTest" in proof) {
		const there = proofTests.some(({ id }) => id === proof.proofTest);
		return there ? null : `no proof test ${proof.proofTest}`;
	}
	if ("scenario" in proof) {
		const expected = world.scenarios.get(proof.scenario);
		if (expected === undefined) return `no scenario ${proof.scenario}`;
		if (trips.length === 0 || trips.some((code) => expected.includes(code))) return null;
		return `scenario ${proof.scenario} expects none of ${trips.join(", ")}`;
	}
	const titles = world.titles.get(proof.test);
	if (titles === undefined) return `no test ${proof.test}`;
	if (titles.some((title) => title.includes(proof.says))) return null;
	return `${proof.test} has no title with "${proof.says}"`;
}

function proofTestProblems({ hazards, proofTests }: HazardFile): string[] {
	const used = hazards.flatMap(({ proof }) =>
		proof.flatMap((one) => ("proofTest" in one ? [one.proofTest] : [])),
	);
	const ids = proofTests.map(({ id }) => id);
	return missing(ids, used).map((id) => `proof test ${id} is used by no hazard`);
}

function requirementProblems({ hazards, requirements }: HazardFile, { files }: World): string[] {
	const answered = hazards.flatMap(({ safety }) => safety);
	const problems: string[] = [];
	for (let point = 1; point <= POINTS; point += 1) {
		if (!answered.includes(point)) problems.push(`safety ${point} is answered by no hazard`);
		const rows = requirements.filter((row) => row.point === point).length;
		if (rows !== 1) problems.push(`safety ${point} has ${rows} rows in requirements`);
	}
	for (const { point, files: named = [] } of requirements) {
		const gone = named.filter((name) => !files.has(name));
		problems.push(...gone.map((name) => `safety ${point}: no file ${name}`));
	}
	return problems;
}
