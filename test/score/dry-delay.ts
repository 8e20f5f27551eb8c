// How soon after air has reached the pump's inlet the real controller has the pump off, over random
// rigs: tube lifted, tank emptied, tube half out, a leak that starves it.

import { type ClosedRun, playClosed } from "./closed-run.ts";
import { DRY_SOURCES } from "./dry-sources.ts";
import { type Cause, causes, dryStory } from "./dry-stories.ts";
import { quantile } from "./poisson.ts";
import type { Score } from "./score.ts";
import { shareOut } from "./threads.ts";

const RIGS = 200;
const SEED = 40_000;
/** Fuel flows for so long before, and is waited for so long after, s. */
const BEFORE_S = 90;
const SECONDS = 500;

interface Job {
	readonly cause: Cause;
	readonly seeds: readonly number[];
}
interface Answer {
	readonly cause: Cause;
	readonly runs: readonly ClosedRun[];
}

/** @public Called by the threads, by its name. */
export function part({ cause, seeds }: Job): Answer {
	const play = (seed: number) =>
		playClosed(dryStory(seed, cause), { seconds: SECONDS, happensAtS: BEFORE_S });
	return { cause, runs: seeds.map(play) };
}

export const dryDelay: Score = {
	name: "dry-delay",
	title: "Dry run: from more air than fuel at the pump's inlet to pump off",
	measures: ["test/score/dry-delay.ts", ...DRY_SOURCES],
	goals: [
		{ figure: "delayMedianS", atMost: 6, words: "median over all causes" },
		{ figure: "delayP99S", atMost: 15, words: "99 % of the stops come sooner" },
		{ figure: "missed", atMost: 0, words: "runs on air for 20 s and more without a stop" },
		{ figure: "runs", atLeast: 500, words: "runs in which air came" },
	],
	async run() {
		const jobs = causes.flatMap((cause) =>
			Array.from({ length: RIGS / 20 }, (_, i) => ({
				cause,
				seeds: Array.from({ length: 20 }, (_, j) => SEED + 1_000 * i + 31 * j),
			})),
		);
		const answers = await shareOut<Job, Answer>(import.meta.url, jobs);
		const figures: Record<string, number> = {};
		const all: number[] = [];
		let missed = 0;
		let partly = 0;
		for (const cause of causes) {
			const runs = answers.flatMap((answer) => (answer.cause === cause ? answer.runs : []));
			// Where a leak or the level leaves the pump some fuel it does not run dry.
			const delays = runs.flatMap(({ stop, wasDry }) =>
				stop !== null && wasDry ? [stop.airForS] : [],
			);
			missed += runs.filter(({ stop, dryForS }) => stop === null && dryForS > 20).length;
			partly += runs.filter(({ stop, wasDry }) => stop !== null && !wasDry).length;
			all.push(...delays);
			const name = cause.replace(/ (.)/g, (_, letter: string) => letter.toUpperCase());
			figures[`${name}MedianS`] = round(quantile(delays, 0.5));
			figures[`${name}MostS`] = round(Math.max(...delays));
			figures[`${name}Runs`] = delays.length;
		}
		return {
			figures: {
				delayMedianS: round(quantile(all, 0.5)),
				delayP99S: round(quantile(all, 0.99)),
				delayMostS: round(Math.max(...all)),
				missed,
				runs: all.length,
				stoppedBeforeDry: partly,
				...figures,
			},
		};
	},
};

const round = (value: number) => Number(value.toFixed(2));
