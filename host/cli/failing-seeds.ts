// What `lees campaign` keeps of seeds that fail: each shrunk, written as a scenario with its rig
// beside it, and played again from that text by the bench's own runner. Nothing that is there is
// overwritten.

import { existsSync, mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { InputError, messageOf } from "../../firmware/config/input-error.ts";
import { readInputFile } from "../../firmware/config/input-file.ts";
import type { PinMap } from "../../firmware/config/pins.ts";
import { readRig } from "../../firmware/config/rig.ts";
import { asScenario, type ScenarioInput } from "../../sim/bench/campaign/as-scenario.ts";
import {
	type Failure,
	LIVENESS,
	playStory,
	type SeedOptions,
} from "../../sim/bench/campaign/seed-run.ts";
import { type Failing, shrink } from "../../sim/bench/campaign/shrink.ts";
import { drawStory } from "../../sim/bench/campaign/story-draw.ts";
import { outcomeOf } from "../../sim/bench/judge.ts";
import { runScenario } from "../../sim/bench/runner.ts";
import { readScenario } from "../../sim/bench/scenario-reader.ts";
import type { BenchRun } from "../../sim/bench/session.ts";
import type { KeptSeed } from "../report/campaign-account.ts";
import { rigText } from "../report/rig-file.ts";
import { scenarioText } from "../report/scenario-file.ts";
import { whatWasCut } from "../report/shrunk-words.ts";
import { tell } from "./progress.ts";
import { projectRoot } from "./root.ts";

/** So many failing seeds of a campaign are shrunk; the others are told. */
const KEPT_MAX = 3;
/** Acts of people that are tried for whether they matter. */
const ACTS_TRIED = 40;
/** In place of a file's name while there is none. */
const OWN = "own.rig.yaml";
const EXAMPLE_RIG = "sim/bench/rigs/teal-willow.rig.yaml";

export interface KeepOptions extends Pick<SeedOptions, "controller"> {
	readonly hoursMax: number;
	readonly folder: string;
	readonly pins: PinMap;
}

/** Shrinks and writes the first seeds that failed. @throws InputError where it cannot write */
export function keepFailing(failures: readonly Failure[], options: KeepOptions): KeptSeed[] {
	const seeds = [...new Set(failures.map(({ seed }) => seed))].slice(0, KEPT_MAX);
	const kept: KeptSeed[] = [];
	for (const seed of seeds) {
		tell(`shrinking seed ${seed}`);
		const found = failingOf(seed, options);
		if (found !== null) kept.push(keep(found, options));
	}
	tell("");
	return kept;
}

/** What broke first in that seed. */
function failingOf(seed: number, { hoursMax, pins, controller }: KeepOptions): Failing | null {
	const run = playStory(drawStory(seed, hoursMax), pins, withController(controller));
	const [failure] = [...run.failures].sort((a, b) => a.atSeconds - b.atSeconds);
	return failure === undefined ? null : { run, failure };
}

const withController = (controller: SeedOptions["controller"]) =>
	controller === undefined ? {} : { controller };

function keep(found: Failing, options: KeepOptions): KeptSeed {
	const { folder, pins, controller } = options;
	const rigFile = join(projectRoot, EXAMPLE_RIG);
	const usual = readRig(readInputFile(rigFile), rigFile);
	const play = (story: Failing["run"]["story"], until: SeedOptions["until"]) =>
		playStory(story, pins, {
			...withController(controller),
			...(until === undefined ? {} : { until }),
		});
	const shrunk = shrink(found, usual, play);
	const { seed, invariant } = found.failure;
	const words = { cut: whatWasCut(found.run.story, shrunk.run.story, usual), plays: shrunk.plays };
	// Should the smaller one not stand as a file, the drawn one may.
	const small = written(shrunk, options);
	const best = small.reproduces ? small : written(found, options);
	const file = writeNew(folder, `seed-${seed}`, best.texts);
	const cut = best === small ? words.cut : [];
	const { atSeconds, reproduces } = best;
	return { seed, invariant, atSeconds, file, plays: words.plays, cut, reproduces };
}

interface Written {
	/** The file's text, that names the rig's file, and the rig's. */
	readonly texts: (rigFile: string) => { scenario: string; rig: string };
	readonly atSeconds: number;
	readonly reproduces: boolean;
}

/** As text, and played from that text. */
function written(failing: Failing, options: KeepOptions): Written {
	const { failure, run } = failing;
	const rig = rigText(run.story.rig, [
		`Invented: the rig that a campaign drew with seed ${failure.seed}, as far as its failure`,
		"needs it. Nothing here was measured, and none of it is a rig to copy.",
	]);
	const played = (scenario: ScenarioInput) => playedFrom(scenarioText(scenario), rig, options);
	const whole = asScenario(failing, OWN);
	if (failure.invariant === LIVENESS) {
		const texts = (name: string) => ({ scenario: scenarioText({ ...whole, rig: name }), rig });
		const own = played(whole);
		const reproduces = outcomeOf(own) === outcomeOf(run.run);
		return { texts, atSeconds: own.simulatedSeconds, reproduces };
	}
	const breaks = (scenario: ScenarioInput) =>
		played(scenario).violations.some(
			({ invariant, atSeconds }) =>
				invariant === failure.invariant && atSeconds === failure.atSeconds,
		);
	const reproduces = breaks(whole);
	const least = reproduces ? withoutIdleActs(whole, breaks) : whole;
	const texts = (name: string) => ({ scenario: scenarioText({ ...least, rig: name }), rig });
	return { texts, atSeconds: failure.atSeconds, reproduces };
}

/** Without what people and weather did that changes nothing: all of it, else one by one. */
function withoutIdleActs(
	whole: ScenarioInput,
	breaks: (scenario: ScenarioInput) => boolean,
): ScenarioInput {
	const bare = { ...whole, crew: [], weather: [] };
	if (breaks(bare)) return bare;
	let left = whole;
	for (const key of ["weather", "crew"] as const) {
		for (const entry of (whole[key] ?? []).slice(0, ACTS_TRIED)) {
			const others = (left[key] as unknown[]).filter((other) => other !== entry);
			const without = { ...left, [key]: others };
			if (breaks(without)) left = without;
		}
	}
	return left;
}

function playedFrom(text: string, rigFile: string, { pins, controller }: KeepOptions): BenchRun {
	const { scenario, rig } = readScenario(text, OWN, () => readRig(rigFile, OWN));
	return runScenario(scenario, rig, pins, {
		...(controller === undefined ? {} : { controller: controller(rig, pins) }),
	});
}

/** @returns the scenario's path; one that is there with the same text is left as it is */
function writeNew(folder: string, stem: string, texts: Written["texts"]): string {
	try {
		mkdirSync(folder, { recursive: true });
		for (let n = 1; ; n += 1) {
			const name = n === 1 ? stem : `${stem}-${n}`;
			const paths = [join(folder, `${name}.bench.yaml`), join(folder, `${name}.rig.yaml`)] as const;
			const { scenario, rig } = texts(`${name}.rig.yaml`);
			if (holds(paths[0], scenario) && holds(paths[1], rig)) return paths[0];
			if (paths.some(existsSync)) continue;
			writeFileSync(paths[1], rig, { flag: "wx" });
			writeFileSync(paths[0], scenario, { flag: "wx" });
			return paths[0];
		}
	} catch (error) {
		const allowed = "a folder that may be written, or made";
		throw new InputError([{ file: folder, found: messageOf(error), allowed }]);
	}
}

const holds = (path: string, text: string) =>
	existsSync(path) && readFileSync(path, "utf8") === text;
