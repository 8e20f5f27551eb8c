// False stops while the boat rolls 15° to both sides at a period of 6 s and the tank is down to 15
// to 35 % of its depth, the real controller in the loop and water up to half of the probe's height
// in the bowl; and whether an order is held in time where the tank is too low for that sea.

import { type ClosedRun, playClosed } from "./closed-run.ts";
import { DRY_SOURCES } from "./dry-sources.ts";
import { drawFrom, rollingStory } from "./dry-stories.ts";
import { poissonUpper } from "./poisson.ts";
import type { Score } from "./score.ts";
import { shareOut } from "./threads.ts";

const SEED = 700_000;
const RUNS = 2_560;
const RUNS_A_JOB = 20;
const RUN_S = 2 * 3_600 + 120;
/** The sea takes the pick-up out of the fuel for up to so much of the time; even draw. */
const UNCOVERED_MAX = 0.14;
/** Stops are false where so much of the last minute was covered, and holds due under the other. */
const FALSE_OVER = 0.85;
const HOLD_UNDER = 0.7;

interface Job {
	readonly from: number;
	readonly kind: "low" | "too low";
}

/** @public Called by the threads, by its name. */
export function part({ from, kind }: Job): ClosedRun[] {
	return Array.from({ length: RUNS_A_JOB }, (_, i) => {
		const seed = from + i;
		const { between } = drawFrom(seed ^ 0x2f_11);
		if (kind === "too low") {
			const story = rollingStory(seed, between(0.32, 0.5));
			return playClosed(story, { seconds: 400, happensAtS: 1e9, lowShare: HOLD_UNDER });
		}
		const story = rollingStory(seed, between(0, UNCOVERED_MAX));
		const waterMl = story.rig.bowl.sumpToProbeMl / 2;
		return playClosed(story, { seconds: RUN_S, happensAtS: 1e9, waterMl });
	});
}

const jobsOf = (kind: Job["kind"], runs: number, from: number): Job[] =>
	Array.from({ length: runs / RUNS_A_JOB }, (_, i) => ({ kind, from: from + i * RUNS_A_JOB }));

const isFalse = ({ stop }: ClosedRun) => stop !== null && stop.coveredShare >= FALSE_OVER;

export const rollingLow: Score = {
	name: "rolling-low",
	title: "False stops, rolling 15 degrees at 6 s with a low tank and a half-full bowl",
	measures: ["test/score/rolling.ts", "firmware/sense/bowl-probe.ts", ...DRY_SOURCES],
	goals: [
		{ figure: "polishedHours", atLeast: 5_000, words: "hours of polishing" },
		{
			figure: "falsePer1000HoursUpper",
			atMost: 1,
			words: "stops with the pick-up covered 85 % of the last minute: 95 % upper bound of the rate",
		},
		{
			figure: "waterPer1000HoursUpper",
			atMost: 1,
			words: "water stops without water at the probe: 95 % upper bound of the rate",
		},
	],
	async run() {
		const jobs = jobsOf("low", RUNS, SEED);
		const runs = (await shareOut<Job, ClosedRun[]>(import.meta.url, jobs)).flat();
		const hours = runs.reduce((sum, { polishedS }) => sum + polishedS, 0) / 3_600;
		const count = (is: (run: ClosedRun) => boolean) => runs.filter(is).length;
		const falseStops = count(isFalse);
		const isWater = ({ stop }: ClosedRun) => stop?.what === "water-in-bowl";
		const water = count((run) => isWater(run) && run.stop?.waterForS === null);
		const per = (events: number) => Number(((1_000 * poissonUpper(events)) / hours).toFixed(3));
		return {
			figures: {
				polishedHours: Math.round(hours),
				rigs: count(({ polishedS }) => polishedS > 0),
				falseStops,
				falsePer1000HoursUpper: per(falseStops),
				falseByDryRun: count((run) => isFalse(run) && run.stop?.what === "dry-run"),
				falseByHold: count((run) => isFalse(run) && run.stop?.what === "held"),
				otherStops: count(({ stop }) => stop !== null) - falseStops,
				waterStops: water,
				waterPer1000HoursUpper: per(water),
			},
		};
	},
};

export const tooLow: Score = {
	name: "too-low-hold",
	title: "Held, too low for this sea: within 60 s of less than 70 % of a minute covered",
	measures: ["test/score/rolling.ts", ...DRY_SOURCES],
	goals: [
		{ figure: "required", atLeast: 300, words: "runs in which it was due" },
		{ figure: "heldInTimePct", atLeast: 95, words: "of these held within 60 s, or before" },
		{ figure: "stoppedInTimePct", atLeast: 97, words: "of these held or tripped within 60 s" },
	],
	async run() {
		const jobs = jobsOf("too low", 400, SEED + 100_000);
		const runs = (await shareOut<Job, ClosedRun[]>(import.meta.url, jobs)).flat();
		// What is held before the minute was over was held in time.
		const due = runs.filter(({ lowAtS, stop }) => lowAtS !== null || stop !== null);
		const inTime = due.filter(
			({ stop, lowAtS }) => stop !== null && stop.atS <= (lowAtS ?? stop.atS) + 60,
		);
		const held = inTime.filter(({ stop }) => stop?.what === "held");
		const pct = (part: number) => Number(((100 * part) / due.length).toFixed(1));
		return {
			figures: {
				required: due.length,
				heldInTimePct: pct(held.length),
				stoppedInTimePct: pct(inTime.length),
			},
		};
	},
};
