// A failing seed becomes a file: a controller with something taken out is found by a campaign, its
// story is made smaller, written, read back and played by the bench to the same failure at the same
// tick; the controller as it is holds in the same file. The command is called with the spoilt
// controller in place of the standard one.

import { mkdirSync, mkdtempSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, describe, expect, it, vi } from "vitest";
import { type Rig, readRig } from "../../firmware/config/rig.ts";
import { createController, STAGES } from "../../firmware/controller.ts";
import { campaign } from "../../host/cli/campaign.ts";
import { rigText } from "../../host/report/rig-file.ts";
import { scenarioText } from "../../host/report/scenario-file.ts";
import { asScenario } from "../../sim/bench/campaign/as-scenario.ts";
import {
	type Failure,
	playSeed,
	playStory,
	type SeedRun,
} from "../../sim/bench/campaign/seed-run.ts";
import { type Play, shrink } from "../../sim/bench/campaign/shrink.ts";
import { drawStory } from "../../sim/bench/campaign/story-draw.ts";
import { sumUp } from "../../sim/bench/judge.ts";
import { loadScenario } from "../../sim/bench/load.ts";
import { runScenario } from "../../sim/bench/runner.ts";
import { readScenario } from "../../sim/bench/scenario-reader.ts";
import { type Fault, faults } from "../../sim/faults.ts";
import { exampleRig, pins } from "../stories/world.ts";
import { controllerWithout } from "./canary-runs.ts";

const write = process.stdout.write.bind(process.stdout);
afterEach(() => {
	process.stdout.write = write;
	vi.restoreAllMocks();
});

/** The command, with what it prints. */
async function told(
	seed: number,
	folder: string,
	controller: Spoilt,
	json = true,
): Promise<{ status: number; text: string }> {
	let text = "";
	vi.spyOn(process.stdout, "write").mockImplementation((part) => {
		text += String(part);
		return true;
	});
	const options = { seeds: `${seed}..${seed}`, hours: 0.5, write: folder, json };
	const status = await campaign(options, { controller });
	process.stdout.write = write;
	return { status, text };
}

type Spoilt = NonNullable<Parameters<typeof playSeed>[2]>["controller"] & {};

const blindToAir: Spoilt = (rig) => controllerWithout(rig, { findings: ["dry"] });
const blindToTray: Spoilt = (rig) =>
	controllerWithout(rig, { findings: ["leak"], interlock: "trayWetMs" });
const restless: Spoilt = (rig) =>
	controllerWithout(rig, { delays: ["dutyLeft"], interlock: "pumpOnMs" });
/** Takes no acknowledgement, so that no trip ever clears. */
const deaf: Spoilt = (rig: Rig) =>
	createController(rig, pins, {
		...STAGES,
		advance: (chart, before, events, nowMs) => {
			const heard = events.filter(({ type }) => type !== "acknowledge");
			return STAGES.advance(chart, before, heard, nowMs);
		},
	});

/** The first seed of that fault's in which the spoilt controller fails so. */
function failingSeed(fault: Fault, controller: Spoilt, attended = false): SeedRun {
	for (let row = 0; row < 8; row += 1) {
		const seed = row * faults.length + faults.indexOf(fault);
		if (drawStory(seed).attended !== attended) continue;
		const run = playSeed(seed, pins, { controller, hoursMax: 0.5 });
		if (run.failures.length > 0) return run;
	}
	throw new Error(`no failing seed with ${fault}`);
}

const folderOf = () => mkdtempSync(join(tmpdir(), "lees-seeds-"));

describe("a failing seed", () => {
	it.each<[string, Spoilt, Fault, boolean, Failure["invariant"]]>([
		["blind to air", blindToAir, "tube-lifted", false, "no long dry run"],
		["blind to the tray", blindToTray, "hose-off", false, "no spill"],
		["without a rest for the pump", restless, "vent-shut", true, "pump within its rated run"],
		["deaf to the button", deaf, "tube-unseated", false, "order finishes after repair"],
	])("of a controller %s is written smaller, and shows it again", async (...row) => {
		const [, controller, fault, attended, invariant] = row;
		const run = failingSeed(fault, controller, attended);
		const { seed } = run.story;
		expect(run.failures.map((one) => one.invariant)).toContain(invariant);
		const { status, text } = await told(seed, folderOf(), controller);
		expect(status).toBe(1);
		const [kept] = JSON.parse(text).kept;
		expect(kept).toMatchObject({ seed, invariant, reproduces: true });

		const { scenario, rig } = loadScenario(kept.file);
		expect(scenario.faults.length).toBeLessThanOrEqual(run.story.scenario.faults.length);
		expect(scenario.start.sea).toBeUndefined();
		const verdicts = (by: Spoilt) => {
			const played = runScenario(scenario, rig, pins, { controller: by(rig, pins) });
			const { expectations, simulatedSeconds } = sumUp("it", played, 0);
			return { expectations, simulatedSeconds, violations: played.violations };
		};
		const spoilt = verdicts(controller);
		expect(spoilt.expectations.map(({ held }) => held)).toEqual([false]);
		if (invariant === "order finishes after repair") {
			expect(spoilt.simulatedSeconds).toBe(kept.atSeconds);
			expect(scenario.crew.at(-1)?.does).toBe("see-to-it");
			// Without its fault nothing trips: it has to stay.
			expect(scenario.faults.map((one) => one.fault)).toContain(fault);
		} else {
			expect(spoilt.violations).toContainEqual({ invariant, atSeconds: kept.atSeconds });
		}
		expect(verdicts(createController).expectations.map(({ held }) => held)).toEqual([true]);
	});

	it("shrinks to the same, whenever it is done", () => {
		const run = failingSeed("tube-lifted", blindToAir);
		const play: Play = (story, until) =>
			playStory(story, pins, { controller: blindToAir, ...(until ? { until } : {}) });
		const once = () => {
			const [failure] = run.failures;
			if (failure === undefined) throw new Error("no failure");
			const shrunk = shrink({ run, failure }, exampleRig(), play);
			return { story: shrunk.run.story, plays: shrunk.plays, failure: shrunk.failure };
		};
		expect(once()).toStrictEqual(once());
	});
});

describe("an order that must finish", () => {
	it("is made no shorter than what finishes without its faults", () => {
		const base = playSeed(3, pins, { hoursMax: 0.5 });
		// Here a short order fails for a reason of its own, that has nothing to do with the fault.
		const play: Play = (story) => {
			const isShort = story.order.litres < 5;
			const fails = isShort || story.scenario.faults.length > 0;
			const failure = { seed: 3, invariant: "order finishes after repair", atSeconds: 9 } as const;
			return { ...base, story, failures: fails ? [failure] : [] };
		};
		const run = play(base.story, undefined);
		const [failure] = run.failures;
		if (failure === undefined) throw new Error("no failure");
		const { story } = shrink({ run, failure }, exampleRig(), play).run;
		expect(base.story.order.litres).toBeGreaterThan(10);
		expect(story.order.litres).toBeLessThan(base.story.order.litres);
		expect(story.order.litres).toBeGreaterThanOrEqual(5);
		expect(story.scenario.faults.length).toBe(1);
	});
});

describe("the command", () => {
	it("tells the file, what was left out, and overwrites nothing", async () => {
		const { story } = failingSeed("tube-lifted", blindToAir);
		const folder = join(folderOf(), "kept");
		mkdirSync(folder);
		const own = join(folder, `seed-${story.seed}.bench.yaml`);
		writeFileSync(own, "somebody's own\n");
		const first = await told(story.seed, folder, blindToAir, false);
		const stem = join(folder, `seed-${story.seed}-2`);
		expect(first.status).toBe(1);
		expect(first.text).toContain(`lees bench ${stem}.bench.yaml`);
		expect(first.text).toMatch(/By \d+ plays: .*sea calm|as in the example rig/);
		await told(story.seed, folder, blindToAir, false);
		expect(readFileSync(own, "utf8")).toBe("somebody's own\n");
		// The same again is the same file.
		expect(readdirSync(folder).sort()).toEqual([
			`seed-${story.seed}-2.bench.yaml`,
			`seed-${story.seed}-2.rig.yaml`,
			`seed-${story.seed}.bench.yaml`,
		]);
	});

	it("complains of a folder that cannot be", async () => {
		const { story } = failingSeed("tube-lifted", blindToAir);
		const file = join(folderOf(), "a-file");
		writeFileSync(file, "");
		await expect(told(story.seed, join(file, "in-it"), blindToAir)).rejects.toThrow(/a-file/);
	});

	it("writes nothing where nothing fails", async () => {
		const folder = join(folderOf(), "kept");
		const { status, text } = await told(9, folder, createController);
		expect(status).toBe(0);
		expect(JSON.parse(text).kept).toEqual([]);
		expect(() => readdirSync(folder)).toThrow(/ENOENT/);
	});
});

describe("what people did, written out", () => {
	// Seeds with and without somebody at the rig, with acts before and after the repair.
	it.each([3, 8, 14, 21, 29, 40])("plays seed %i to the same records and truth", (seed) => {
		const run = playSeed(seed, pins, { hoursMax: 0.5 });
		const atSeconds = run.run.simulatedSeconds;
		const failure = { seed, invariant: "litres as pumped", atSeconds } as const;
		const text = scenarioText(asScenario({ run, failure }, "own.rig.yaml"));
		const rig = readRig(rigText(run.story.rig, []), "own");
		expect(rig).toEqual(run.story.rig);
		const { scenario } = readScenario(text, "own", () => rig);
		const again = runScenario(scenario, rig, pins);
		expect(again.simulatedSeconds).toBe(atSeconds);
		expect(again.records).toEqual(run.run.records);
		expect(again.truth).toEqual(run.run.truth);
	});
});
