// What `lees campaign` keeps of seeds that fail: each shrunk, written as a scenario with its rig
// beside it, and played again from that text by the bench's own runner. Nothing that is there is
// overwritten.

import { existsSync, mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { InputError, messageOf } from "../../firmware/config/input-error.ts";
import { readInputFile } from "../../firmware/config/input-file.ts";
import type { PinMap } from "../../firmware/config/pins.ts";
import { readRig } from "../../firmware/config/rig.ts";
import { asScenario } from "../../sim/bench/campaign/as-scenario.ts";
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
import { readScenario } from "../../sim/bench/scenario.ts";
import { rigText, scenarioText } from "../report/scenario-file.ts";
import { whatWasCut } from "../report/shrunk-words.ts";
import { tell } from "./progress.ts";
import { projectRoot } from "./root.ts";

/** So many failing seeds of a campaign are shrunk; the others are told. */
const KEPT_MAX = 3;
const EXAMPLE_RIG = "sim/bench/rigs/teal-willow.rig.yaml";

/** A failing seed as it was written; `--json` prints it. */
export interface KeptSeed {
	readonly seed: number;
	readonly invariant: Failure["invariant"];
	/** In the file's own run, s; of an order that did not finish, when it was given up. */
	readonly atSeconds: number;
	readonly file: string;
	/** Stories that were played to make it smaller, and what is left out of it now. */
	readonly plays: number;
	readonly cut: readonly string[];
	/** Whether the bench plays the file to the same failure. */
	readonly reproduces: boolean;
}

export interface KeepOptions extends Pick<SeedOptions, "controller"> {
	readonly hoursMax: number;
	readonly folder: string;
	readonly pins: PinMap;
}

/** Shrinks and writes the first seeds that failed. @throws InputError where nothing can be written */
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
	/** The file's text and its rig's; both are made for a name. */
	readonly texts: (name: string) => { scenario: string; rig: string };
	readonly atSeconds: number;
	readonly reproduces: boolean;
}

/** As text, and played from that text. */
function written(failing: Failing, { pins, controller }: KeepOptions): Written {
	const { failure, run } = failing;
	const rig = rigText(run.story.rig, [
		`Invented: the rig that a campaign drew with seed ${failure.seed}, as far as its failure`,
		"needs it. Nothing here was measured, and none of it is a rig to copy.",
	]);
	const texts = (name: string) => ({
		scenario: scenarioText(asScenario(failing, `${name}.rig.yaml`)),
		rig,
	});
	const read = readScenario(texts("own").scenario, "own", () => readRig(rig, "own"));
	const played = runScenario(
		read.scenario,
		read.rig,
		pins,
		controller === undefined ? {} : { controller: controller(read.rig, pins) },
	);
	if (failure.invariant === LIVENESS) {
		const reproduces = outcomeOf(played) !== "finished";
		return { texts, atSeconds: played.simulatedSeconds, reproduces };
	}
	const broken = played.violations.find(({ invariant }) => invariant === failure.invariant);
	const atSeconds = broken?.atSeconds ?? failure.atSeconds;
	return { texts, atSeconds, reproduces: broken?.atSeconds === failure.atSeconds };
}

/** @returns the scenario's path; one that is there with the same text is left as it is */
function writeNew(folder: string, stem: string, texts: Written["texts"]): string {
	try {
		mkdirSync(folder, { recursive: true });
		for (let n = 1; ; n += 1) {
			const name = n === 1 ? stem : `${stem}-${n}`;
			const paths = [join(folder, `${name}.bench.yaml`), join(folder, `${name}.rig.yaml`)] as const;
			const { scenario, rig } = texts(name);
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
