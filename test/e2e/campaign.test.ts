// `lees campaign` as its user runs it, from the build: a row of seeds on threads, one seed with its
// story, the JSON object, bad usage.

import { describe, expect, it } from "vitest";
import { faults } from "../../sim/faults.ts";
import { lees } from "./cli.ts";

const json = (...args: string[]) => JSON.parse(lees(["campaign", "--json", ...args]).stdout);

describe("lees campaign", () => {
	it("prints one JSON object with the documented keys", () => {
		const { status, stdout } = lees(["campaign", "--seeds", "1..6", "--hours", "0.3", "--json"]);
		const result = JSON.parse(stdout);
		expect(status).toBe(0);
		expect(result).toMatchObject({
			seeds: { from: 1, to: 6 },
			runs: 6,
			violations: 0,
			failures: [],
			kept: [],
		});
		expect(Object.keys(result).sort()).toEqual(
			[
				...["seeds", "hoursMax", "runs", "attended", "simulatedHours", "pumpOnHours"],
				...["runsPerFault", "tripsPerCode", "wallSeconds", "timesRealTime"],
				...["violations", "failures", "kept"],
			].sort(),
		);
		expect(Object.keys(result.runsPerFault)).toEqual(faults);
		expect(result.pumpOnHours).toBeGreaterThan(0.3);
		expect(result.simulatedHours).toBeGreaterThan(result.pumpOnHours);
	});

	it("finds the same whichever thread plays which seed", () => {
		const without = ({ wallSeconds: _, timesRealTime: __, ...rest }: Record<string, unknown>) =>
			rest;
		const args = ["--seeds", "11..22", "--hours", "0.2"];
		const [one, other] = [json(...args), json(...args)].map(without);
		expect(JSON.stringify(one)).toBe(JSON.stringify(other));
	});

	it("begins with the seeds, and sums up within 80 columns", () => {
		const { stdout } = lees(["campaign", "--seeds", "1..3", "--hours", "0.2"]);
		expect(stdout).toMatch(/^Campaign, seeds 1\.\.3\n/);
		expect(stdout).toContain("lees campaign --seeds N..N --hours 0.2");
		expect(stdout).toMatch(/Runs +3\n/);
		expect(stdout).toContain("VIOLATIONS: 0");
		for (const line of stdout.split("\n")) expect(line.length).toBeLessThanOrEqual(80);
	});

	it("tells the story of a single seed: rig, world, faults, what happened", () => {
		const { status, stdout } = lees(["campaign", "--seeds", "9..9", "--hours", "0.3"]);
		expect(status).toBe(0);
		const pieces = [
			"Campaign, seed 9\n",
			"DRAWN RIG",
			"DRAWN WORLD",
			"DRAWN FAULTS",
			"Order taken: ",
			"All mended at",
			"VIOLATIONS: 0",
		];
		const places = pieces.map((piece) => stdout.indexOf(piece));
		expect(places).toEqual([...places].sort((a, b) => a - b));
		expect(places[0]).toBe(0);
		for (const line of stdout.split("\n")) expect(line.length).toBeLessThanOrEqual(80);
	});

	it.each([
		["a single number", ["--seeds", "7"]],
		["a row that runs backwards", ["--seeds", "7..3"]],
		["a seed that is none", ["--seeds", "1..x"]],
		["one that is too large", ["--seeds", "1..9999999999"]],
		["no hours", ["--hours", "0"]],
		["an unknown option", ["--sees", "1..2"]],
	])("refuses %s with status 2", (_, args) => {
		const { status, stdout, stderr } = lees(["campaign", ...args]);
		expect(status).toBe(2);
		expect(stdout).toBe("");
		expect(stderr).not.toBe("");
		expect(stderr).not.toContain("    at ");
	});
});
