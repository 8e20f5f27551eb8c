// The hazard analysis held to what it speaks of, in the tree as it is; and each rule by which that
// is judged is seen to bite on a spoiled copy.

import { execFileSync } from "node:child_process";
import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { parse } from "yaml";
import { optionalSensors } from "../../firmware/config/optional-sensors.ts";
import { coverageRows } from "../../firmware/cycle/coverage.ts";
import { tripCodes } from "../../firmware/cycle/trips.ts";
import { interlockRules } from "../../firmware/interlock.ts";
import { hazardPage, undetectedTable } from "../../host/report/hazard-page.ts";
import { type HazardFile, readHazards } from "../../host/report/hazards.ts";
import { readSensorFaults, undetectedIn } from "../../host/report/sensor-faults.ts";
import { problemsOf, type World } from "./hazard-problems.ts";

const root = new URL("../..", import.meta.url).pathname;
const read = (file: string) => readFileSync(join(root, file), "utf8");

const SOURCE = "hardware/hazards.yaml";
const text = read(SOURCE);
const hazards = readHazards(text, SOURCE);
const TABLE = "hardware/sensor-faults.yaml";
const undetected = undetectedIn(readSensorFaults(read(TABLE), TABLE));

/** Codes that a scenario's `expect` names, in whichever way. */
function expectedTrips(scenario: unknown): string[] {
	const { expect: rows = [] } = scenario as { expect?: Array<Record<string, unknown>> };
	return rows.flatMap(({ trips, trip, outcome }) => {
		const ended = /^(?:tripped|ended by trip): (\S+)$/.exec(String(outcome ?? ""));
		return [...(Array.isArray(trips) ? trips : []), trip, ended?.[1]].filter(
			(code): code is string => typeof code === "string",
		);
	});
}

/** What a test is called by: a title, or the words of a case in a table. */
const TITLE = /(?:\b(?:it|test|describe)\(|\)\(|\[|\bwhat:)\s*(["'`])((?:\\.|(?!\1).)*)\1/gs;
const titlesOf = (source: string) => [...source.matchAll(TITLE)].map(([, , title]) => title ?? "");

function worldAsItIs(): World {
	const git = ["ls-files", "--cached", "--others", "--exclude-standard"];
	const listed = execFileSync("git", git, { cwd: root, encoding: "utf8" }).trim().split("\n");
	const files = listed.filter((file) => existsSync(join(root, file)));
	const folder = "sim/bench/scenarios";
	const scenarios = readdirSync(join(root, folder)).filter((name) => name.endsWith(".bench.yaml"));
	const tests = files.filter((file) => file.endsWith(".test.ts"));
	const coverage = Object.entries(coverageRows).map(([name, { needs }]) => [name, needs] as const);
	return {
		tripCodes,
		// The stop button's rule stands apart: it needs no time.
		interlockCodes: [...new Set(["stop-button", ...interlockRules.map(([, , code]) => code)])],
		channels: Object.keys(parse(read("hardware/pins.yaml")).channels),
		optionalSensors,
		coverage: Object.fromEntries(coverage),
		scenarios: new Map(
			scenarios.map((name) => [
				name.replace(".bench.yaml", ""),
				expectedTrips(parse(read(`${folder}/${name}`))),
			]),
		),
		titles: new Map(tests.map((file) => [file, titlesOf(read(file))])),
		files: new Set(files),
	};
}

const world = worldAsItIs();

describe("hardware/hazards.yaml", () => {
	it("agrees with trips, interlock, pins, coverage, scenarios and tests", () => {
		expect(problemsOf(hazards, world)).toEqual([]);
	});

	it("says what is invented, and claims no integrity level", () => {
		expect(hazards.invented).toBe(true);
		expect(hazards.cautions.join(" ")).toContain("No SIL and no PL is claimed");
	});
});

describe("hardware/HAZARDS.md", () => {
	it("is made from the file as it is: `npm run docs`", () => {
		const page = hazardPage({ file: hazards, coverage: coverageRows, undetected });
		expect(read("hardware/HAZARDS.md")).toBe(page);
	});

	it("has a place for each link within it", () => {
		const page = read("hardware/HAZARDS.md");
		const places = new Set([...page.matchAll(/^### (\S+)$/gm)].map(([, name]) => name));
		const links = [...page.matchAll(/\]\(#([^)]+)\)/g)].map(([, name]) => name);
		expect(links.length).toBeGreaterThan(100);
		expect(links.filter((name) => !places.has(name))).toEqual([]);
	});

	it("lists every fault that nothing sees", () => {
		expect(undetected.length).toBeGreaterThan(10);
		for (const row of undetected) expect(read("hardware/HAZARDS.md")).toContain(row.hides);
	});

	it("lists a fault that nothing sees, with its proof test", () => {
		const row = { sensor: "tray", fault: "stuck", states: "polishing", hides: "a leak" };
		const listed = undetectedTable([{ ...row, proofTest: "tray-with-diesel" }]);
		expect(listed).toContain("| tray | stuck | polishing | a leak | [tray-with-diesel](#tray-with");
	});
});

/** A copy in which one hazard is changed. */
function spoiled(name: string, change: Partial<HazardFile["hazards"][number]>): HazardFile {
	expect(hazards.hazards.some(({ hazard }) => hazard === name)).toBe(true);
	return {
		...hazards,
		hazards: hazards.hazards.map((row) => (row.hazard === name ? { ...row, ...change } : row)),
	};
}

const without = (...names: string[]): HazardFile => ({
	...hazards,
	hazards: hazards.hazards.filter(({ hazard }) => !names.includes(hazard)),
});

const bites: Array<[string, HazardFile, Partial<World>, string]> = [
	["a trip in no hazard", without("contact-welds"), {}, "trip relay-stuck is in no hazard"],
	[
		"a trip that the catalogue lacks",
		hazards,
		{ tripCodes: tripCodes.filter((code) => code !== "leak") },
		"hose-leaks: no trip leak",
	],
	[
		"an interlock's rule in no hazard",
		hazards,
		{ interlockCodes: [...world.interlockCodes, "no-current"] },
		"the interlock's no-current is in no hazard",
	],
	[
		"a rule that the interlock lacks",
		hazards,
		{ interlockCodes: world.interlockCodes.filter((code) => code !== "motor-hot") },
		"motor-overheats: the interlock has no rule for motor-hot",
	],
	["a coverage row without a hazard", without("tube-moved"), {}, "coverage row tube-moved has no"],
	[
		"an optional sensor alone that coverage does not name",
		hazards,
		{ coverage: { ...world.coverage, "hose-leaks": [] } },
		"hose-leaks: tray alone is in no coverage row",
	],
	[
		"a coverage row that does not exist",
		spoiled("bowl-freezes", { coverage: ["frost"] }),
		{},
		"bowl-freezes: no coverage row frost",
	],
	[
		"a sensor that coverage needs and the hazard does not name",
		spoiled("return-in-another-tank", { detectedBy: ["level-from"] }),
		{},
		"return-in-another-tank: coverage needs level-to, detectedBy not",
	],
	[
		"a channel that is not in the pin map",
		spoiled("water-over", { detectedBy: ["bowl-sniffer"] }),
		{},
		"water-over: bowl-sniffer is not in pins.yaml",
	],
	["no proof", spoiled("water-over", { proof: [] }), {}, "water-over: no proof"],
	[
		"a scenario that does not exist",
		spoiled("water-over", { proof: [{ scenario: "dry-land" }] }),
		{},
		"water-over: no scenario dry-land",
	],
	[
		"a scenario that expects another trip",
		spoiled("water-over", { proof: [{ scenario: "time-limit" }] }),
		{},
		"water-over: scenario time-limit expects none of water-in-bowl",
	],
	[
		"a test that does not exist",
		spoiled("water-over", { proof: [{ test: "test/stories/no.test.ts", says: "it" }] }),
		{},
		"water-over: no test test/stories/no.test.ts",
	],
	[
		"a title that does not exist",
		spoiled("stop-wanted", { proof: [{ test: "test/stories/stopping.test.ts", says: "by luck" }] }),
		{},
		'stop-wanted: test/stories/stopping.test.ts has no title with "by luck"',
	],
	[
		"a proof test that is not defined",
		spoiled("water-over", { proof: [{ proofTest: "taste-it" }] }),
		{},
		"water-over: no proof test taste-it",
	],
	[
		"a proof test that nobody uses",
		without("petrol-in-the-tank"),
		{},
		"proof test fuel-check is used by no hazard",
	],
	[
		"a safety requirement that no hazard answers",
		without("contact-welds", "wrong-wiring"),
		{},
		"safety 2 is answered by no hazard",
	],
	[
		"a safety requirement without its row",
		{ ...hazards, requirements: hazards.requirements.filter(({ point }) => point !== 9) },
		{},
		"safety 9 has 0 rows in requirements",
	],
	[
		"a requirement's file that is gone",
		hazards,
		{ files: new Set([...world.files].filter((file) => file !== "sim/dead-man.ts")) },
		"safety 5: no file sim/dead-man.ts",
	],
];

describe("the check bites on", () => {
	it.each(bites)("%s", (_, file, change, says) => {
		const before = new Set(problemsOf(hazards, world));
		const found = problemsOf(file, { ...world, ...change }).filter((line) => !before.has(line));
		expect(found.join("\n")).toContain(says);
	});

	it("a page that is stale", () => {
		const file = spoiled("water-over", { cause: "Something else." });
		const page = hazardPage({ file, coverage: coverageRows, undetected });
		expect(page).not.toBe(read("hardware/HAZARDS.md"));
	});

	it.each<[string, (text: string) => string, RegExp]>([
		["a misspelt trip", (t) => t.replace("[dry-run]", "[dryrun]"), /trips\[0\]/],
		["a point past the last", (t) => t.replace("safety: [14]", "safety: [21]"), /safety\[0\]/],
		["no reason for no trip", (t) => t.replace(/ {4}noTripBecause: >-\n.*\n.*\n/, ""), /noTripB/],
		["a name used twice", (t) => t.replace("hazard: no-prime", "hazard: dry-pump"), /used once/],
		["an unknown key", (t) => t.replace("    harm: ", "    harmm: "), /harmm/],
	])("%s, with file, line and key", (_, change, says) => {
		expect(change(text)).not.toBe(text);
		const reading = () => readHazards(change(text), SOURCE);
		expect(reading).toThrow(says);
		expect(reading).toThrow(/hardware\/hazards\.yaml:\d+/);
	});
});
