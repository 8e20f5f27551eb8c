// sim/bench/SCENARIOS.md and the JSON Schema beside it are what the bench does: tables and schema
// come from its own schema and rows, examples are read by it, and every shipped file fits.

import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { parse } from "yaml";
import {
	expectationExamples,
	scenarioJsonSchema,
	scenarioSections,
	WALK_FILE,
} from "../../host/report/scenario-page.ts";
import { withSection } from "../../host/report/tables.ts";
import { loadScenario, nameOf, shippedScenarios } from "../../sim/bench/load.ts";
import { scenarioSchema } from "../../sim/bench/scenario.ts";
import { GOOD, mistakes } from "../stories/scenario-mistakes.ts";
import { root } from "../stories/world.ts";
import { complaints } from "./json-schema.ts";

const read = (file: string) => readFileSync(join(root, file), "utf8");
const page = read("sim/bench/SCENARIOS.md");
const sections = scenarioSections(read(WALK_FILE));
const shipped = shippedScenarios(root);

describe("the scenarios' page", () => {
	it.each(Object.entries(sections))("carries %s as it is", (name, text) => {
		expect(withSection(page, name, text)).toBe(page);
	});

	it("says of every key what it means", () => {
		const rows = Object.values(sections).flatMap((text) => text.split("\n"));
		expect(rows.filter((row) => /\| +\|$/.test(row))).toEqual([]);
	});

	it("has an example of every expectation", () => {
		const shapes = scenarioSchema.shape.expect.element.options.map(({ shape }) =>
			Object.keys(shape),
		);
		const isOf = (keys: readonly string[]) => (example: object) =>
			Object.keys(example).every((key) => keys.includes(key));
		const examples = expectationExamples.map(([example]) => example);
		for (const keys of shapes) expect(examples.filter(isOf(keys)), keys.join()).toHaveLength(1);
		for (const example of examples) scenarioSchema.shape.expect.parse([example]);
	});

	it("has blocks of YAML that fit", () => {
		const [base] = [parse(GOOD)];
		const blocks = [...page.matchAll(/```yaml\n(.*?)```/gs)].map(([, text]) => parse(text ?? ""));
		expect(blocks.length).toBeGreaterThanOrEqual(3);
		for (const block of blocks) {
			const part = Array.isArray(block) ? { crew: block } : block;
			scenarioSchema.parse({ ...base, ...part });
		}
	});
});

describe("the JSON Schema", () => {
	const text = read("sim/bench/scenario.schema.json");
	const schema = JSON.parse(text);

	it("is as it is made", () => {
		expect(text).toBe(scenarioJsonSchema());
	});

	it.each(shipped.map((file) => [nameOf(file), file]))("takes %s", (_, file) => {
		expect(complaints(parse(readFileSync(file, "utf8")), schema)).toEqual([]);
	});

	// Names of tanks are the rig's.
	const bySchema = mistakes.filter(({ what }) =>
		/no seed|unknown key|for a |too large|out of range|there is not/.test(what),
	);
	it.each(bySchema.filter(({ what }) => !/tank|fault's range|near miss/.test(what)))(
		"sees $what",
		({ was, is }) => {
			expect(complaints(parse(GOOD.replace(was, is)), schema)).not.toEqual([]);
		},
	);
});

describe("the list", () => {
	it("has titles that fit beside the names, on 80 columns", () => {
		const names = shipped.map(nameOf);
		const width = Math.max(...names.map((name) => name.length));
		const titles = shipped.map((file) => loadScenario(file).scenario.title);
		expect(titles.filter((title) => width + 2 + title.length > 80)).toEqual([]);
		expect(new Set(titles).size).toBe(titles.length);
	});
});
