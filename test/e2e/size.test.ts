// `lees size` as its user runs it, from the build: the account, the JSON object held to its schema,
// the plot, and rigs that cannot be.

import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { sizingResultSchema } from "../../host/sizing/result.ts";
import { lees, workshop } from "./cli.ts";

const rigFile = "rigs/teal-willow.rig.yaml";
const sized = (rig: (text: string) => string, ...more: string[]) =>
	lees(["size", rigFile, "--json", "--seed", "1", "--draws", "200", ...more], workshop({ rig }));
const same = (text: string) => text;
const resultOf = (stdout: string) => sizingResultSchema.parse(JSON.parse(stdout));

describe("lees size", () => {
	it("prints an account within 80 columns, with the cautions in it", () => {
		const { status, stdout } = lees(["size", rigFile, "--seed", "1"], workshop({}));
		expect(status).toBe(0);
		expect(stdout).toMatch(/^Seed 1, 2000 draws\n/);
		expect(Math.max(...stdout.split("\n").map((line) => line.length))).toBeLessThanOrEqual(80);
		for (const tank of ["TANK PORT", "TANK STARBOARD", "TANK DAY"]) expect(stdout).toContain(tank);
		expect(stdout).toMatch(/local codes/i);
	});

	it("answers with one object of its schema, the same for the same seed", () => {
		const one = sized(same);
		expect(one.status).toBe(0);
		expect(resultOf(one.stdout).cases).toHaveLength(6);
		expect(sized(same).stdout).toBe(one.stdout);
		expect(sized(same, "--seed", "2").stdout).not.toBe(one.stdout);
	});

	it("gives each figure a range that holds it in order", () => {
		const spreads = resultOf(sized(same).stdout).cases.flatMap(({ figures }) =>
			Object.values(figures),
		);
		expect(spreads.length).toBeGreaterThan(60);
		for (const { p10, p90 } of spreads) {
			if (p10 !== null && p90 !== null) expect(p10).toBeLessThanOrEqual(p90);
		}
	});

	it("says of thick cold fuel in a thin hose that it will not do, and what would", () => {
		const thin = (text: string) =>
			text.replace("hose: { lengthMm: 2400, boreMm: 8", "hose: { lengthMm: 9000, boreMm: 5");
		const { warnings } = resultOf(sized(thin).stdout);
		const cold = warnings.filter(({ code }) => /^(does-not-lift|suction)/.test(code));
		expect(cold.length).toBeGreaterThan(0);
		expect(cold.some(({ cures }) => cures.some((cure) => /bore|hose|mm/.test(cure)))).toBe(true);
	});

	it("draws the plot into a new file, and never over one that is there", () => {
		const folder = workshop({});
		const args = ["size", rigFile, "--seed", "1", "--plot", "rig.svg", "--draws", "200"];
		const draw = () => lees(args, folder);
		expect(draw().status).toBe(0);
		const svg = readFileSync(join(folder, "rig.svg"), "utf8");
		expect(svg.trimStart()).toMatch(/^<(\?xml|svg)/);
		const open: string[] = [];
		for (const [, close, name, self] of svg.matchAll(/<(\/?)([a-z]+)[^>]*?(\/?)>/g)) {
			if (close === "/") expect(open.pop()).toBe(name);
			else if (self !== "/") open.push(name ?? "");
		}
		expect(open).toEqual([]);
		expect(draw().status).toBe(2);
	});
});

describe("a rig that cannot be", () => {
	it.each([
		["without a pump", /\npump:\n( {2}.*\n)+/, "\n", ["pump", "found nothing"]],
		["with a bore of 0", "lengthMm: 1150, boreMm: 8", "lengthMm: 1150, boreMm: 0", ["boreMm", "3"]],
		["whose tube is longer than the tank is deep", "fillerMm: 510", "fillerMm: 0", ["640", "port"]],
	] as const)("%s is refused with its place", (_, was, is, pieces) => {
		const { status, stdout, stderr } = sized((text) => text.replace(was, is));
		expect(status).toBe(2);
		expect(stdout).toBe("");
		expect(stderr).toContain("teal-willow.rig.yaml:");
		for (const piece of pieces) expect(stderr).toContain(piece);
	});
});
