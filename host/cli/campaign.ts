// `lees campaign`: many drawn rigs, seas and faults against the controller, invariants checked. A
// range of seeds is shared among threads; a single seed tells its whole story. Seeds come first in
// whatever is printed, and replay exactly. Progress on a terminal's standard error.

import { availableParallelism } from "node:os";
import { Worker } from "node:worker_threads";
import { InputError } from "../../firmware/config/input-error.ts";
import { playStory } from "../../sim/bench/campaign/seed-run.ts";
import { drawStory, HOURS_MAX } from "../../sim/bench/campaign/story-draw.ts";
import { addTallies, NO_RUNS, type Tally, tallyOf } from "../../sim/bench/campaign/tally.ts";
import { loadPins } from "../../sim/bench/load.ts";
import {
	type CampaignResult,
	campaignAccount,
	campaignHead,
	storyAccount,
	storyHead,
} from "../report/campaign-account.ts";
import type { SeedRange } from "./campaign-worker.ts";
import { EXIT } from "./exit.ts";
import { printMarked } from "./paint.ts";
import { tell } from "./progress.ts";
import { projectRoot } from "./root.ts";

export interface CampaignOptions {
	readonly seeds?: string;
	readonly hours?: number;
	readonly json?: boolean;
}

/** What is played where nobody says: every fault leads five stories. */
const USUAL_SEEDS: SeedRange = { from: 1, to: 1_200 };
/** Seeds that a thread is sent at a time. */
const CHUNK = 4;
const SEED_MAX = 2 ** 31 - 1;

/** @returns the exit status: 1 when an invariant is broken @throws InputError */
export async function campaign(options: CampaignOptions): Promise<number> {
	const seeds = rangeOf(options.seeds);
	const hoursMax = options.hours ?? HOURS_MAX;
	const isJson = options.json === true;
	const isOne = seeds.from === seeds.to;
	const began = process.hrtime.bigint();
	const wallSeconds = () => Number(process.hrtime.bigint() - began) / 1e9;
	const result = (tally: Tally): CampaignResult => resultOf(tally, seeds, hoursMax, wallSeconds());
	if (isOne && !isJson) {
		const story = drawStory(seeds.from, hoursMax);
		printMarked(storyHead(story, hoursMax));
		const played = playStory(story, loadPins(projectRoot));
		printMarked(storyAccount(played));
		return played.failures.length === 0 ? EXIT.good : EXIT.doesNotHold;
	}
	if (!isJson) printMarked(campaignHead(seeds, hoursMax));
	const found = result(await playAll(seeds, hoursMax));
	if (isJson) process.stdout.write(`${JSON.stringify(found, null, 2)}\n`);
	else printMarked(campaignAccount(found));
	return found.violations === 0 ? EXIT.good : EXIT.doesNotHold;
}

function rangeOf(typed: string | undefined): SeedRange {
	if (typed === undefined) return USUAL_SEEDS;
	const [, from, to] = /^(\d{1,10})\.\.(\d{1,10})$/.exec(typed) ?? [];
	const range = { from: Number(from), to: Number(to) };
	if (range.from <= range.to && range.to <= SEED_MAX) return range;
	const allowed = `A..B, two whole numbers up to ${SEED_MAX}, the second not below the first`;
	throw new InputError([{ file: "--seeds", found: typed, allowed }]);
}

function resultOf(tally: Tally, seeds: SeedRange, hoursMax: number, wallSeconds: number) {
	const { failures, ...sums } = tally;
	return {
		seeds,
		hoursMax,
		...sums,
		wallSeconds,
		timesRealTime: (sums.simulatedHours * 3_600) / wallSeconds,
		violations: failures.length,
		failures,
	};
}

/** Deals the seeds out, a few at a time to whichever thread is free. */
async function playAll(seeds: SeedRange, hoursMax: number): Promise<Tally> {
	const number = seeds.to - seeds.from + 1;
	if (number <= CHUNK) return playHere(seeds, hoursMax);
	const threads = Math.min(availableParallelism(), Math.ceil(number / CHUNK));
	let next = seeds.from;
	let sum = NO_RUNS;
	const deal = (): SeedRange | null => {
		if (next > seeds.to) return null;
		const from = next;
		next = Math.min(seeds.to, from + CHUNK - 1) + 1;
		return { from, to: next - 1 };
	};
	const add = (tally: Tally) => {
		sum = addTallies(sum, tally);
		tell(`${sum.runs} of ${number} runs, ${sum.failures.length} violations`);
	};
	await Promise.all(Array.from({ length: threads }, () => work(deal, add, hoursMax)));
	tell("");
	return sum;
}

function playHere({ from, to }: SeedRange, hoursMax: number): Tally {
	const pins = loadPins(projectRoot);
	let sum = NO_RUNS;
	for (let seed = from; seed <= to; seed += 1) {
		sum = addTallies(sum, tallyOf(playStory(drawStory(seed, hoursMax), pins)));
	}
	return sum;
}

/** One thread, from its first seeds to the last that are left. */
async function work(
	deal: () => SeedRange | null,
	add: (tally: Tally) => void,
	hoursMax: number,
): Promise<void> {
	const file = new URL("campaign-worker.js", import.meta.url);
	const thread = new Worker(file, { workerData: { hoursMax } });
	try {
		await new Promise<void>((resolve, reject) => {
			const send = () => {
				const range = deal();
				if (range === null) resolve();
				else thread.postMessage(range);
			};
			thread.on("error", reject);
			thread.on("message", (tally: Tally) => {
				add(tally);
				send();
			});
			send();
		});
	} finally {
		await thread.terminate();
	}
}
