// The campaign itself: what it draws is what a person could have written, a seed replays to the
// last bit, every fault leads a story, and a controller with one rule taken out makes it fail. The
// long row of seeds is a stage of `npm test`, not a test in here.

import { describe, expect, it } from "vitest";
import { coverageGaps } from "../../firmware/cycle/coverage.ts";
import { playSeed, type SeedRun } from "../../sim/bench/campaign/seed-run.ts";
import { drawStory } from "../../sim/bench/campaign/story-draw.ts";
import { addTallies, NO_RUNS, tallyOf } from "../../sim/bench/campaign/tally.ts";
import { scenarioSchema } from "../../sim/bench/scenario.ts";
import { type Fault, faults } from "../../sim/faults.ts";
import { channelOf, isSensorFault } from "../../sim/sensor-faults.ts";
import { pins } from "../stories/world.ts";
import { controllerWithout, type Without } from "./canary-runs.ts";

const DRAWN = 200;
const stories = Array.from({ length: DRAWN }, (_, seed) => drawStory(seed));

describe("a drawn story", () => {
	it("is a scenario that a person could have written", () => {
		for (const { scenario } of stories) {
			expect(scenarioSchema.parse(scenario)).toEqual(scenario);
		}
	});

	it("is left alone only with a rig that may be", () => {
		for (const { rig, attended } of stories) {
			if (!attended) expect(coverageGaps(rig)).toEqual([]);
		}
	});

	it("has a person at the rig, and a rig with fewer sensors, one time in four", () => {
		const attended = stories.filter((story) => story.attended);
		expect(attended.length / DRAWN).toBeGreaterThan(0.15);
		expect(attended.length / DRAWN).toBeLessThan(0.35);
		expect(attended.some(({ rig }) => coverageGaps(rig).length > 0)).toBe(true);
	});

	it("breaks only sensors that its rig has", () => {
		for (const { rig, scenario } of stories) {
			for (const { fault } of scenario.faults) {
				if (!isSensorFault(fault)) continue;
				const channel = channelOf(fault);
				const isOptional = /^(vacuum|tray|.*-seat|pressure|level|.*temperature|bowl-tap)/;
				if (isOptional.test(channel)) expect(rig.sensors).toContain(channel);
			}
		}
	});

	it("has every fault as its first once in a row of seeds as long as the list", () => {
		const first = stories.slice(0, faults.length).map(({ scenario }) => scenario.faults[0]?.fault);
		expect([...first].sort()).toEqual([...faults].sort());
	});

	it("comes in every pump, meter, battery and tank shape", () => {
		const kinds = (of: (story: (typeof stories)[number]) => readonly unknown[]) =>
			new Set(stories.flatMap(of)).size;
		expect(kinds(({ rig }) => [rig.pump.kind])).toBe(4);
		expect(kinds(({ rig }) => [rig.meter.kind])).toBe(2);
		expect(kinds(({ rig }) => [rig.supply.chemistry])).toBe(3);
		expect(kinds(({ rig }) => [rig.pump.ratedVolts])).toBe(2);
		expect(kinds(({ rig }) => rig.tanks.map(({ shape }) => shape))).toBe(3);
	});
});

const essence = ({ run, failures, struck, mendedS }: SeedRun) => ({
	records: run.records,
	truth: run.truth,
	failures,
	struck: [...struck],
	mendedS,
});

describe("a seed", () => {
	it("replays to the last bit", () => {
		expect(essence(playSeed(29, pins))).toStrictEqual(essence(playSeed(29, pins)));
	});

	// In these the element loaded while the fuel stirred, and the vent was blamed again and again.
	it.each([300_027, 300_095])("%i comes to its end", (seed) => {
		expect(playSeed(seed, pins).failures).toEqual([]);
	});

	it("is another story than the next one", () => {
		expect(drawStory(30)).not.toEqual(drawStory(29));
	});
});

describe("a tally", () => {
	it("adds up to the same in whatever order the runs come in", () => {
		const [one, two, three] = [3, 5, 8].map((seed) => tallyOf(playSeed(seed, pins)));
		if (one === undefined || two === undefined || three === undefined) throw new Error("no runs");
		const some = { ...two, failures: [{ seed: 5, invariant: "no spill", atSeconds: 9 }] } as const;
		const there = [one, some, three].reduce(addTallies, NO_RUNS);
		const back = [three, some, one].reduce(addTallies, NO_RUNS);
		expect(there).toMatchObject({ runs: 3, failures: [{ seed: 5, invariant: "no spill" }] });
		expect(there.runsPerFault).toEqual(back.runsPerFault);
		expect(there.pumpOnHours).toBeCloseTo(back.pumpOnHours, 9);
	});
});

describe("a controller that lacks a rule", () => {
	/** Seeds whose first fault that is, with nobody at the rig. */
	const ledBy = (fault: Fault, rows: number) =>
		Array.from({ length: rows }, (_, row) => row * faults.length + faults.indexOf(fault)).filter(
			(seed) => !drawStory(seed).attended,
		);
	const broken = (seeds: readonly number[], without: Without) =>
		seeds.flatMap((seed) => {
			const { failures } = playSeed(seed, pins, {
				controller: (rig) => controllerWithout(rig, without),
			});
			return failures.map(({ invariant }) => invariant);
		});

	it.each<[string, Fault, Without, string]>([
		["no detector of dry running", "tube-lifted", { findings: ["dry"] }, "no long dry run"],
		[
			"neither detector nor last gate for the tray",
			"hose-off",
			{ findings: ["leak"], interlock: "trayWetMs" },
			"no spill",
		],
		[
			"an acknowledge button that does nothing",
			"stop-button-struck",
			{ findings: ["button", "buttonHeld"] },
			"order finishes after repair",
		],
	])("%s makes the campaign fail; with it the same seeds hold", (_, fault, without, invariant) => {
		const seeds = ledBy(fault, 8);
		expect(seeds.length).toBeGreaterThan(1);
		expect(broken(seeds, {})).toEqual([]);
		expect(broken(seeds, without)).toContain(invariant);
	});
});
