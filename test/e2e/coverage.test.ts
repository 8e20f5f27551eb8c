// `lees coverage` as its user runs it: what a rig's sensors cover, what to fit, and whether it may
// be left alone.

import { join } from "node:path";
import { describe, expect, it } from "vitest";
import type { CoverageResult } from "../../host/report/coverage-account.ts";
import { rigFile } from "../stories/world.ts";
import { lees, workshop } from "./cli.ts";

const example = () => lees(["coverage", rigFile]);
const changed = (from: string, to: string, ...options: string[]) => {
	const folder = workshop({ rig: (text) => text.replace(from, to) });
	return lees(["coverage", join(folder, "rigs/teal-willow.rig.yaml"), ...options]);
};

describe("lees coverage", () => {
	it("says that a rig with all its sensors may be left alone, and what that does not mean", () => {
		const { status, stdout, stderr } = example();
		expect(stderr).toBe("");
		expect(status).toBe(0);
		expect(stdout).toContain("It may be left alone, once it is commissioned");
		expect(stdout).toContain("not safe");
		for (const line of stdout.split("\n")) expect(line.length).toBeLessThanOrEqual(80);
	});

	it("names the hazard and what to fit, and exits 1", () => {
		const { status, stdout } = changed("    tray,\n", "");
		expect(status).toBe(1);
		expect(stdout).toMatch(/hose-leaks +NOT COVERED\n +fit tray\n/);
		expect(stdout).toContain("Stay with it");
	});

	it("answers with one object of its schema", () => {
		const { status, stdout } = changed("  bypassKpa: 130\n", "", "--json");
		expect(status).toBe(1);
		const result = JSON.parse(stdout) as CoverageResult;
		expect(result.mayBeLeftAlone).toBe(false);
		const shut = result.hazards.find(({ hazard }) => hazard === "discharge-shut");
		expect(shut?.covered).toBe(false);
		expect(shut?.missing[0]).toContain("bypassKpa");
	});

	it.each([
		[
			"an unknown sensor",
			"    tray,\n",
			"    smoke,\n",
			/sensors\[1\].*found "smoke"; allowed:.*tray/,
		],
		["a sensor twice", "    tray,\n", "    vacuum,\n", /sensors\[1\].*each sensor once/],
		["a switch without its mark", "  pressureSwitchKpa: 90\n", "", /pressure-switch only with/],
	])("refuses %s with file, line and key", (_, from, to, words) => {
		const { status, stderr, stdout } = changed(from, to);
		expect(status).toBe(2);
		expect(stdout).toBe("");
		expect(stderr).toMatch(/teal-willow\.rig\.yaml:\d+:\d+/);
		expect(stderr).toMatch(words);
	});
});
