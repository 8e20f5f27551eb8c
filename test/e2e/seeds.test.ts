// In CI nothing is drawn without a seed: a command that draws is refused until it is told one, and
// the usual seed serves everywhere else. What tests draw is held by `test/tidy/draws.test.ts`.

import { describe, expect, it } from "vitest";
import { lees, workshop } from "./cli.ts";

const size = ["size", "rigs/teal-willow.rig.yaml", "--draws", "100"];
const campaign = ["campaign", "--seeds", "1..1", "--hours", "0.1", "--json"];

describe("in CI", () => {
	it.each([
		["lees size", size, "--seed  found no seed; allowed: a stated one where CI is set"],
		["lees campaign", ["campaign"], "--seeds  found no seed; allowed: a stated one"],
	])("%s without a seed is refused with status 2", (_, args, says) => {
		for (const CI of ["true", "1"]) {
			const { status, stdout, stderr } = lees(args, workshop({}), { CI });
			expect(stderr).toContain(says);
			expect(stdout).toBe("");
			expect(status).toBe(2);
		}
	});

	it.each([
		["lees size", [...size, "--seed", "3"]],
		["lees campaign", campaign],
		["lees bench, whose scenario states its own", ["bench", "stop-button"]],
	])("%s with its seed is played", (_, args) => {
		expect(lees(args, workshop({}), { CI: "true" })).toMatchObject({ status: 0, stderr: "" });
	});
});

describe("outside of CI", () => {
	it.each(["", "false", "0"])("the usual seed serves: CI is %j", (CI) => {
		const { status, stdout } = lees(size, workshop({}), { CI });
		expect(stdout).toMatch(/^Seed 1, 100 draws\n/);
		expect(status).toBe(0);
	});
});
