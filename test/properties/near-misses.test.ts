// Each trip of the catalogue is in the library twice: once on purpose, and once nearly. A near miss
// is near: little more, and the trip comes. That it does not come as it stands is an expectation
// like the others, and held with them.

import { describe, expect, it } from "vitest";
import { tripCodes } from "../../firmware/cycle/trips.ts";
import { sumUp } from "../../sim/bench/judge.ts";
import { loadScenario, shippedScenarios } from "../../sim/bench/load.ts";
import { runScenario } from "../../sim/bench/runner.ts";
import { scenarioInstead } from "../../sim/bench/scenario.ts";
import { pins, root } from "../stories/world.ts";

const loaded = shippedScenarios(root).map(loadScenario);
const misses = loaded.flatMap((one) => one.scenario.nearly.map((miss) => ({ ...one, miss })));
/** A tick more or less is a third of what counts in three ticks. */
const NEAR = 1 / 3;

describe("the library has, of every trip,", () => {
	it("a story in which it comes on purpose", () => {
		const wanted = loaded.flatMap(({ scenario }) =>
			scenario.expect.flatMap((one) => ("trips" in one ? one.trips : [])),
		);
		expect(tripCodes.filter((code) => !wanted.includes(code))).toEqual([]);
	});

	it("a story in which it nearly comes", () => {
		const nearly = misses.map(({ miss }) => miss.trip);
		expect(tripCodes.filter((code) => !nearly.includes(code))).toEqual([]);
	});
});

describe.each(misses)("$name: $miss.trip", ({ name, scenario, rig, miss }) => {
	const instead = scenarioInstead(scenario, miss);

	it("would have come with a little more", { timeout: 120_000 }, () => {
		if ("place" in instead) throw new Error(`no place ${instead.place}`);
		const run = runScenario(instead.scenario, rig, pins);
		expect(sumUp(name, run, 0).trips.map(({ code }) => code)).toContain(miss.trip);
	});

	it("is near", () => {
		for (const [place, value] of Object.entries(miss.ifInstead)) {
			const now = place.split(".").reduce<unknown>((at, key) => Object(at)[key], scenario);
			expect(Math.abs(1 - Number(now) / Number(value)), place).toBeLessThanOrEqual(NEAR + 1e-9);
		}
	});
});
