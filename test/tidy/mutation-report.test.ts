// The committed report of the mutation run is about this very tree, and nothing in it survived. It
// is made anew by `npm run mutation`. The check itself can fail: each way is tried.

import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { root } from "../stories/world.ts";
import { type MutationReport, problemsOf, reportSchema } from "./mutation-problems.ts";

const read = (file: string) => readFileSync(join(root, file), "utf8");
const { mutate: sources } = JSON.parse(read(".stryker.config.json")) as { mutate: string[] };
const tests = readdirSync(join(root, "test/logic")).map((file) => `test/logic/${file}`);
const measuring = [
	".stryker.config.json",
	"test/mutation/equivalents.json",
	"test/mutation/vitest.config.ts",
	"test/stories/well.ts",
	...tests,
];
const tree = { sources, measuring, read };
const report = reportSchema.parse(JSON.parse(read("test/mutation/report.json")));

it("the report is fresh and nothing survived: else `npm run mutation`", () => {
	expect(problemsOf(report, tree)).toEqual([]);
});

it("it measures the interlock and the trip logic", () => {
	expect(sources).toEqual(
		expect.arrayContaining([
			"firmware/interlock.ts",
			"firmware/cycle/trips.ts",
			"firmware/cycle/opening.ts",
			"firmware/cycle/context.ts",
			"firmware/cycle/arming.ts",
			"firmware/cycle/coverage.ts",
			"firmware/sense/hard-times.ts",
			"firmware/sense/leaky.ts",
			"firmware/sense/qualify.ts",
		]),
	);
});

it("it was made by the tools that the package names", () => {
	const { devDependencies } = JSON.parse(read("package.json"));
	expect(devDependencies).toMatchObject(report.tools);
	expect(report.tools).toHaveProperty("@stryker-mutator/core");
});

it("no source switches a mutant off by a comment", () => {
	expect(sources.filter((file) => read(file).includes("Stryker"))).toEqual([]);
});

describe("the check finds", () => {
	const file = "firmware/interlock.ts";
	const row = report.files[file];
	if (row === undefined) throw new Error(`${file} is not in the report`);
	const { [file]: _, ...others } = report.files;
	const changed = (change: Partial<typeof row>): MutationReport => ({
		...report,
		files: { ...others, [file]: { ...row, ...change } },
	});
	const touched = (name: string) => ({
		...tree,
		read: (path: string) => (path === name ? `${read(path)}\n` : read(path)),
	});
	const only = (words: string) => expect.arrayContaining([`${words}`]);

	it("a source that has changed", () => {
		const words = `${file}: changed since it was measured`;
		expect(problemsOf(report, touched(file))).toEqual(only(words));
	});

	it("a test that has changed", () => {
		const test = "test/logic/interlock.test.ts";
		const words = `${test}: changed since it was measured`;
		expect(problemsOf(report, touched(test))).toEqual(only(words));
	});

	it("a test that is new or gone", () => {
		const test = "test/logic/interlock.test.ts";
		const more = { ...tree, measuring: [...measuring, "test/logic/more.test.ts"] };
		const fewer = { ...tree, measuring: measuring.filter((name) => name !== test) };
		expect(problemsOf(report, more)).toEqual(
			only("test/logic/more.test.ts: new since it was measured"),
		);
		expect(problemsOf(report, fewer)).toEqual(only(`${test}: gone since it was measured`));
	});

	it("a source that is not measured, and one that is no longer named", () => {
		expect(problemsOf({ ...report, files: others }, tree)).toEqual(only(`${file}: not measured`));
		const named = sources.filter((name) => name !== file);
		expect(problemsOf(report, { ...tree, sources: named })).toEqual(
			only(`${file}: measured, but not named in the settings`),
		);
	});

	it("a mutant that survived", () => {
		expect(problemsOf(changed({ killed: row.killed - 1 }), tree)).toEqual(
			only(`${file}: 1 mutants that no test noticed`),
		);
	});

	it("a branch that no test took", () => {
		const { covered, total } = row.branches;
		expect(problemsOf(changed({ branches: { covered: covered - 1, total } }), tree)).toEqual(
			only(`${file}: 1 branches that no test took`),
		);
	});
});
