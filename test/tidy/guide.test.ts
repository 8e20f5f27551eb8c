// The guide and the pages beside it: the generated sections are as they would be made today, each
// name in them is in its map, each link leads somewhere; and each of these checks bites. That the
// commands run is test/e2e/guide.test.ts.

import { execFileSync } from "node:child_process";
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { parse } from "yaml";
import { parts } from "../../firmware/commission/parts.ts";
import { stepRows, steps } from "../../firmware/commission/step-rows.ts";
import * as rigParts from "../../firmware/config/rig-parts.ts";
import { ASKS_BEFORE_MS } from "../../firmware/cycle/arming.ts";
import { FIXED_MS } from "../../firmware/cycle/chart-parts.ts";
import { setpointRows } from "../../firmware/cycle/setpoints.ts";
import { tripCodes } from "../../firmware/cycle/trips.ts";
import { GUIDE_FILE, guideSections, UPKEEP_FILE } from "../../host/report/guide-sections.ts";
import { readHazards } from "../../host/report/hazards.ts";
import { readSensorFaults, undetectedIn } from "../../host/report/sensor-faults.ts";
import { withSection } from "../../host/report/tables.ts";
import { root } from "../stories/world.ts";
import { type NamedWorld, namingProblems, type Page, placeProblems } from "./page-names.ts";
import { handWritten } from "./page-text.ts";

const read = (file: string) => readFileSync(join(root, file), "utf8");
const git = ["ls-files", "--cached", "--others", "--exclude-standard"];
const listed = execFileSync("git", git, { cwd: root, encoding: "utf8" }).trim().split("\n");
const files = listed.filter((file) => existsSync(join(root, file)));

const { hazards, proofTests } = readHazards(read("hardware/hazards.yaml"), "hazards.yaml");
const faultFile = "hardware/sensor-faults.yaml";
const undetected = undetectedIn(readSensorFaults(read(faultFile), faultFile));
const sections = guideSections({ hazards, undetected });

const pages: Page[] = files
	.filter((file) => file.endsWith(".md"))
	.map((file) => ({ file, text: read(file) }));
const pageOf = (file: string): Page => ({ file, text: read(file) });

const keysOf = (name: string, schema: unknown) => {
	const { shape } = schema as { shape?: Record<string, unknown> };
	return Object.keys(shape ?? {}).flatMap((key) => [key, `${name}.${key}`]);
};
const blocks = {
	tanks: rigParts.tankSchema,
	tube: rigParts.tubeSchema,
	hose: rigParts.hoseSchema,
	returnHose: rigParts.hoseSchema,
	bowl: rigParts.bowlSchema,
	element: rigParts.elementSchema,
	pump: rigParts.pumpSchema,
	meter: rigParts.meterSchema,
	supply: rigParts.supplySchema,
};

/** Names under which the looks of a step keep what they measured. */
const evidence = steps.flatMap((step) => {
	const { goes } = stepRows[step];
	return goes.kind === "look" ? goes.looks.map(({ as }) => as) : [];
});

/** Where options are defined: of the command, and of scripts beside the pages. */
const commandFiles = files.filter((file) => /^(host\/cli\/.*\.ts|hardware\/.*\.sh)$/.test(file));

const channels: Record<string, { pin?: number | string }> = parse(
	read("hardware/pins.yaml"),
).channels;

const world: NamedWorld = {
	files: new Set(files),
	trips: tripCodes,
	steps,
	channels: Object.keys(channels),
	pins: Object.values(channels).flatMap(({ pin }) => (pin === undefined ? [] : [String(pin)])),
	names: [
		...parts,
		...proofTests.map(({ id }) => id),
		...hazards.map(({ hazard }) => hazard),
		...evidence,
	],
	setpoints: Object.keys(setpointRows),
	rigKeys: [
		...Object.entries(blocks).flatMap(([name, schema]) => [name, ...keysOf(name, schema)]),
		...["sensors", "setpoints", "schedule", "sizing"],
	],
	options: commandFiles.flatMap((file) => read(file).match(/--[a-z][a-z-]+/g) ?? []),
	words: [
		// Terminals of the dead-man board, in its netlist.
		...["12V", "0V", "beat", "coil"],
		// Stand for what the reader types.
		...["PORT", "PART"],
		// A key with its value.
		"invented: false",
		// Made by commands where they run.
		...["seed-29.bench.yaml", "seed-29.rig.yaml", "lees-campaign/"],
	],
};

describe.each([GUIDE_FILE, UPKEEP_FILE])("%s", (file) => {
	const text = read(file);

	it.each(Object.keys(sections[file] ?? {}))("has its section %s as made today", (name) => {
		expect(withSection(text, name, sections[file]?.[name] ?? "")).toBe(text);
	});

	it("names only what is there", () => {
		expect(namingProblems({ file, text }, pages, world)).toEqual([]);
	});

	it("gives cautions where they bite, and claims no integrity level", () => {
		expect((handWritten(text).match(/\*\*[^*]+\*\*/g) ?? []).length).toBeGreaterThan(8);
		expect(text).toMatch(/[Ll]ocal codes/);
	});
});

describe("the guide's figures of lamps, horn and button", () => {
	const { hornMs, confirmMinutesMax } = setpointRows;

	it.each([
		["the horn before a start", `${hornMs.preset / 1000} s without a break`],
		["the horn of a trip", `up to ${FIXED_MS.tripHorn / 1000} s, then silent`],
		["who attends presses", `every ${confirmMinutesMax.preset} minutes`],
		["the horn asks before", `less than ${ASKS_BEFORE_MS / 60_000 === 1 ? "a minute" : "?"}`],
	])("%s", (_, words) => {
		expect(read(GUIDE_FILE)).toContain(words);
	});
});

describe("the dead-man's figures on the pages", () => {
	const deadMan = () => parse(read("hardware/dead-man/parts.yaml"));

	it("are those of its parts' file", () => {
		const { limits } = deadMan();
		const text = read(GUIDE_FILE);
		expect(text).toContain(`Generator, ${limits.beatHz} Hz: it closes within`);
		expect(text).toContain(`it closes within ${limits.closesWithinS} s`);
		expect(text).toContain(`open within ${limits.releaseS} s each time`);
		expect(text).toContain(`not before ${limits.gapS} s`);
	});

	it("of ageing are true: what sets a time is no electrolytic capacitor", () => {
		const board: Array<{ rating: string; does: string }> = deadMan().parts;
		const wet = board.filter(({ rating }) => rating.includes("electrolytic"));
		expect(read(UPKEEP_FILE)).toContain("electrolytic capacitors stand at its regulator alone");
		expect(wet.length).toBeGreaterThan(0);
		expect(wet.filter(({ does }) => !does.includes("regulator"))).toEqual([]);
	});
});

describe("the pages beside them", () => {
	const guide = [GUIDE_FILE, UPKEEP_FILE];
	const beside = pages.filter(
		({ file }) => /^(hardware\/([a-z-]+\/)?[A-Z]+|README)\.md$/.test(file) && !guide.includes(file),
	);

	it.each(beside.map(({ file }) => file))(
		"%s names only files and places that are there",
		(file) => {
			expect(placeProblems(pageOf(file), pages, world)).toEqual([]);
		},
	);
});

describe("what the box cannot protect against", () => {
	it("is all that no trip stops and a person must see, and all that lies unseen", () => {
		const told = sections[GUIDE_FILE]?.unprotected ?? "";
		const unseen = hazards.filter(
			({ trips, detectedBy }) => trips.length === 0 && detectedBy.includes("person"),
		);
		expect(unseen.length).toBeGreaterThan(8);
		for (const { cause, remainingRisk } of unseen) {
			expect(told).toContain(cause);
			expect(told).toContain(remainingRisk);
		}
		for (const { hides } of undetected) expect(told).toContain(hides);
	});
});

describe("upkeep", () => {
	const told = sections[UPKEEP_FILE] ?? {};

	it("has each step with an interval once, soonest first", () => {
		const rows = [...(told.retests ?? "").matchAll(/^\| (\d+) days \| `([^`]+)`/gm)];
		const days = rows.map(([, every]) => Number(every));
		expect(days).toEqual([...days].sort((a, b) => a - b));
		const due = steps.filter((step) => stepRows[step].everyDays !== null);
		expect(rows.map(([, , step]) => step).sort()).toEqual([...due].sort());
	});

	it("says of each part what is due again, and every step hangs on one", () => {
		const named = new Set((told.changes ?? "").match(/`[a-z-]+`/g));
		expect(parts.filter((part) => !named.has(`\`${part}\``))).toEqual([]);
		expect(steps.filter((step) => !named.has(`\`${step}\``))).toEqual([]);
	});
});

/** The guide with a sentence more. */
const spoilt = (sentence: string): Page => ({
	file: GUIDE_FILE,
	text: `${read(GUIDE_FILE)}\n${sentence}\n`,
});

describe("the check bites on", () => {
	it.each([
		["a file that is not there", "See `hardware/WIRE.md`.", "no file hardware/WIRE.md"],
		["files that are not there", "See `wires-*.svg`.", "no file wires-*.svg"],
		["a link to nowhere", "See [it](CIRCUIT.md).", "links to CIRCUIT.md: no file"],
		["a heading that is gone", "See [it](UPKEEP.md#spare-time).", "no such heading"],
		["a trip of its own", "It trips as `water-in-bilge`.", "other name water-in-bilge"],
		["a step taken for a trip", "The trip `run-timer` comes.", "no trip run-timer"],
		["a trip taken for a step", "The steps `prime` and `dry-run`.", "no step dry-run"],
		["a channel of its own", "Touch `pump-wish`.", "other name pump-wish"],
		["a pin's number", "Leave pin 13 free.", "writes pin 13"],
		["an analog pin's number", "The loop is on pin A0.", "writes pin A0"],
		["a setpoint of its own", "Raise `dryRunSeconds`.", "rig file dryRunSeconds"],
		["a key of its own", "Set `pump.flow`.", "rig file pump.flow"],
		["an option of its own", "Give `--quickly`.", "no option --quickly"],
	])("%s", (_, sentence, says) => {
		const before = namingProblems(pageOf(GUIDE_FILE), pages, world);
		const after = namingProblems(spoilt(sentence), pages, world);
		expect(after.filter((line) => !before.includes(line)).join("\n")).toContain(says);
	});

	it("a copy of the pin map on a page beside the guide, and on no free pin", () => {
		const page = (text: string) => ({ file: "README.md", text });
		const found = (text: string) => placeProblems(page(text), pages, world).join("\n");
		expect(found("It is pin 7.")).toContain("writes pin 7");
		expect(found("Pin 13 blinks.")).toBe("");
	});

	it("a section that is stale", () => {
		const other = guideSections({ hazards: hazards.slice(2), undetected });
		const text = read(GUIDE_FILE);
		expect(withSection(text, "unprotected", other[GUIDE_FILE]?.unprotected ?? "")).not.toBe(text);
	});
});
