// The figures of `npm run bench` as they are kept: of every part, and in DEVELOPERS.md as in the
// file. Goals that were missed are told there, not here: the machine may have been busy. The check
// itself can fail: each way is tried.

import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { withSection } from "../../host/report/tables.ts";
import {
	FIGURES_FILE,
	figureProblems,
	figuresSchema,
	figuresTable,
	type KeptPart,
} from "../bench/kept-figures.ts";
import { parts } from "../bench/parts.ts";
import { figureCells, NO_GOAL, percentile, verdict } from "../bench/table.ts";
import { root } from "../stories/world.ts";

const read = (file: string) => readFileSync(join(root, file), "utf8");
const kept = figuresSchema.parse(JSON.parse(read(FIGURES_FILE)));
const names = parts.map(({ name }) => name);

it("every part is measured and kept: else `npm run bench -- --keep`", () => {
	expect(figureProblems(names, kept)).toEqual([]);
});

it("DEVELOPERS.md carries the figures as they are kept: else `npm run docs`", () => {
	const text = read("DEVELOPERS.md");
	expect(withSection(text, "figures", figuresTable(kept))).toBe(text);
});

it("no two parts have one name", () => {
	expect(new Set(names).size).toBe(names.length);
});

describe("the table", () => {
	const machine = { processor: "P", cores: 2, memoryGib: 4, kernel: "Linux 1", node: "v20" };
	const part = (change: Partial<KeptPart> = {}): KeptPart => ({
		date: "2026-11-26",
		machine,
		load: { before: 0.1, after: 2 },
		figures: [{ what: "a loop", shown: "3 times", goal: "at least 2", met: true }],
		...change,
	});

	it("tells value, goal, peer, ratio, verdict, day and load, and names the machine", () => {
		const figure = { what: "a loop", shown: "3 times", goal: "at least 4", met: false };
		const figures = [{ ...figure, peer: "5 of another", ratio: 0.6 }];
		const text = figuresTable({ loop: part({ figures }) });
		expect(text).toContain(
			"| a loop | 3 times | at least 4 | 5 of another | 0.60 | no | 2026-11-26 | 0.1 to 2.0 |",
		);
		expect(text).toContain("\n\nP, 2 cores, 4.0 GiB, Linux 1, Node v20.");
	});

	it("numbers the machines where there are two", () => {
		const other = part({ machine: { ...machine, processor: "Q" } });
		const text = figuresTable({ one: part(), two: other });
		expect(text).toMatch(/\| 0\.1 to 2\.0 \| 1 \|\n.*\| 0\.1 to 2\.0 \| 2 \|\n\n1: P, .*\n2: Q, /);
	});

	it("finds a part that is not measured, and one that is no more", () => {
		expect(figureProblems(["a", "b"], { b: part(), c: part() })).toEqual([
			"a: not measured",
			"c: kept, but no part any more",
		]);
	});

	it("says neither met nor missed where there is no goal", () => {
		const figure = { what: "years", shown: "3", goal: NO_GOAL, met: true };
		expect(verdict(figure)).toBe("years: 3");
		expect(figureCells(figure).at(-1)).toBe("");
	});
});

it("a percentile is the value that so great a share does not exceed", () => {
	const thousand = Array.from({ length: 1_000 }, (_, i) => 1_000 - i);
	expect([0.5, 0.999, 1].map((share) => percentile(thousand, share))).toEqual([501, 1_000, 1_000]);
	expect(percentile([], 0.5)).toBe(0);
});
