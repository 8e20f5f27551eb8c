// Two results of one scenario beside each other: what counts as a change, as broken by it, and as
// just the same; and how a table tells it within 80 columns.

import { describe, expect, it } from "vitest";
import { changeAccount } from "../../host/report/change-account.ts";
import { compare } from "../../host/report/comparison.ts";
import { libraryAccount } from "../../host/report/library-account.ts";
import { type BenchResult, sumUp } from "../../sim/bench/judge.ts";
import { findScenario, loadScenario } from "../../sim/bench/load.ts";
import { runScenario } from "../../sim/bench/runner.ts";
import { pins, root } from "./world.ts";

const { name, scenario, rig } = loadScenario(findScenario(root, "water-under-the-tube"));
const result = sumUp(name, runScenario(scenario, rig, pins), 1);
const again = (scenarioName: string) => `lees bench ${scenarioName}`;
const textOf = (lines: ReadonlyArray<{ text: string }>) => lines.map(({ text }) => text).join("\n");
const [first, ...others] = result.expectations;
const broken: BenchResult = {
	...result,
	expectations: first === undefined ? [] : [{ ...first, held: false, found: "dry-run" }, ...others],
};

describe("beside itself", () => {
	it("a result is just the same, whatever the wall's clock said", () => {
		const found = compare(result, { ...result, wallSeconds: 9 });
		expect(found).toMatchObject({ changes: [], brokenNow: [], heldNow: [], isSame: true });
	});

	it("one that is off in the last digit is told by name, not by figures", () => {
		const { truth } = result;
		const litresThroughPump = truth.litresThroughPump * (1 + 1e-12);
		const found = compare(result, { ...result, truth: { ...truth, litresThroughPump } });
		expect(found).toMatchObject({ changes: [], isSame: false });
		const text = textOf(changeAccount([found], [], again)).replaceAll("\n", " ");
		expect(text).toContain("0 of 1 scenarios differ, 0 are just the same");
		expect(text).toContain("1 differ by less than is shown: water-under-the-tube.");
	});
});

describe("a change", () => {
	const trip = (code: string, atSeconds: number) => ({ code, atSeconds, cause: "" });

	it("pairs trips by code, the first with the first, in the order of their times", () => {
		const before = { ...result, trips: [trip("dry-run", 10), trip("dry-run", 50.3)] };
		const after = { ...result, trips: [trip("leak", 4), trip("dry-run", 10.1)] };
		expect(compare(before, after).changes).toEqual([
			{ what: "trip leak", before: "none", after: "0:00:04.0" },
			{ what: "trip dry-run", before: "0:00:10.0", after: "0:00:10.1" },
			{ what: "trip dry-run (2)", before: "0:00:50.3", after: "none" },
		]);
	});

	it("is told within 80 columns, however long the words of both sides", () => {
		const [was, is] = ["ended by trip: tank-vent-blocked", "tripped: return-in-another-tank"];
		const found = compare({ ...result, outcome: was }, { ...result, outcome: is });
		const lines = changeAccount([found], [], again).map(({ text }) => text);
		expect(lines).toContain(`        ${was} -> ${is}`);
		for (const line of lines) expect(line.length).toBeLessThanOrEqual(80);
	});

	it("breaks an expectation, mends it, or leaves it broken", () => {
		expect(compare(result, broken).brokenNow).toMatchObject([{ found: "dry-run" }]);
		expect(compare(broken, result).heldNow).toHaveLength(1);
		expect(compare(broken, broken)).toMatchObject({ brokenNow: [], heldNow: [], isSame: true });
		const tell = (before: BenchResult, after: BenchResult) =>
			textOf(changeAccount([compare(before, after)], [], again));
		expect(tell(result, broken)).toContain("BROKEN by the change: 1 expectation that held.");
		expect(tell(result, broken)).toContain("\n    lees bench water-under-the-tube\n");
		expect(tell(broken, result)).toContain("Broken as shipped and held with the change: 1.");
		expect(tell(broken, broken)).toContain("Broken either way: 1, in water-under-the-tube.");
	});
});

describe("the table of all", () => {
	it("tells what broke, with what was found and the command for its story", () => {
		const text = textOf(libraryAccount([broken, result], [], again));
		expect(text).toMatch(/water-under-the-tube .* BROKEN 4 of 5\n/);
		expect(text).toContain("(found: dry-run)\n    lees bench water-under-the-tube\n");
		expect(text).toMatch(/\nBROKEN: 1 of 10 expectations, in 1 of 2 scenarios\.$/);
	});

	it("keeps to 80 columns with the longest of names, trips and litres", () => {
		const long: BenchResult = {
			...result,
			scenario: "a-scenario-with-a-name-that-nobody-would-want-to-type-twice",
			seed: 2_147_483_647,
			outcome: "tripped: tank-vent-blocked",
			trips: Array.from({ length: 12 }, (_, i) => ({
				code: i % 2 === 0 ? "tank-vent-blocked" : "discharge-blocked",
				atSeconds: i,
				cause: "",
			})),
			simulatedSeconds: 720_000,
			logged: { hours: 200, litres: 123_456.7 },
			truth: { ...result.truth, litresThroughPump: 123_456.7, pumpOnSeconds: 720_000 },
		};
		const leftOut = [{ name: "cold-night", hoursMax: 20, why: "may take longer than 120 s" }];
		const lines = libraryAccount([long, result], leftOut, again).map(({ text }) => text);
		for (const line of lines) expect(line.length).toBeLessThanOrEqual(80);
		expect(lines.join(" ")).toContain(
			"It may take longer than 120 s on this board: cold-night (20 h).",
		);
	});
});
