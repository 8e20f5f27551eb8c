// How soon the real controller has the pump off once water bridges the probe, over random rigs that
// roll 15° to both sides: a slug of free water comes up the tube.

import { type ClosedRun, playClosed } from "./closed-run.ts";
import { DRY_SOURCES } from "./dry-sources.ts";
import { drawFrom, rollingStory } from "./dry-stories.ts";
import { quantile } from "./poisson.ts";
import type { Score } from "./score.ts";
import { shareOut } from "./threads.ts";

const RUNS = 400;
const RUNS_A_JOB = 20;
const SEED = 330_000;
/** A tick of the bench: the stop is seen at its end, the water at its beginning, s. */
const TICK_S = 0.1;

interface Job {
	readonly from: number;
}

/** @public Called by the threads, by its name. */
export function part({ from }: Job): ClosedRun[] {
	return Array.from({ length: RUNS_A_JOB }, (_, i) => {
		const story = rollingStory(from + i, 0);
		// More than the sump holds up to the probe, less than would fill the bowl.
		const slugMl = drawFrom(from + i).between(300, 700);
		const happens: typeof story.happens = (model) => {
			if (!model.has("water-slug")) model.breaks("water-slug", slugMl);
		};
		return playClosed({ ...story, happens }, { seconds: 400, happensAtS: 60 });
	});
}

export const waterStop: Score = {
	name: "water-stop",
	title: "Water: from the probe bridged to pump off, rolling 15 degrees at 6 s",
	measures: ["test/score/water-stop.ts", "firmware/sense/bowl-probe.ts", ...DRY_SOURCES],
	goals: [
		{ figure: "delayMostS", atMost: 1, words: "the longest of all" },
		{ figure: "waterStops", atLeast: 300, words: "runs in which water stopped it" },
		{ figure: "missed", atMost: 0, words: "runs in which water came and nothing stopped it" },
	],
	async run() {
		const jobs = Array.from({ length: RUNS / RUNS_A_JOB }, (_, i) => ({
			from: SEED + i * RUNS_A_JOB,
		}));
		const runs = (await shareOut<Job, ClosedRun[]>(import.meta.url, jobs)).flat();
		const delays = runs.flatMap(({ stop }) =>
			stop?.what === "water-in-bowl" && stop.waterForS !== null ? [stop.waterForS + TICK_S] : [],
		);
		const round = (value: number) => Number(value.toFixed(2));
		return {
			figures: {
				delayMedianS: round(quantile(delays, 0.5)),
				delayMostS: round(Math.max(...delays)),
				waterStops: delays.length,
				otherStops: runs.filter(({ stop }) => stop !== null).length - delays.length,
				missed: runs.filter(({ stop, polishedS }) => stop === null && polishedS > 0).length,
			},
		};
	},
};
