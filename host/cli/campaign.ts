// `lees campaign`: many drawn rigs, seas and faults against the controller, invariants checked. A
// range of seeds is shared among threads; a single seed tells its whole story. Seeds come first in
// whatever is printed, and replay exactly. Progress on a terminal's standard error.

import { availableParallelism } from "node:os";
import { InputError } from "../../firmware/config/input-error.ts";
import { playStory, type SeedOptions, type SeedRun } from "../../sim/bench/campaign/seed-run.ts";
import { drawStory, HOURS_MAX } from "../../sim/bench/campaign/story-draw.ts";
import { addTallies, NO_RUNS, type Tally, tallyOf } from "../../sim/bench/campaign/tally.ts";
import { loadPins } from "../../sim/bench/load.ts";
import {
	type CampaignResult,
	campaignAccount,
	campaignHead,
	keptAccount,
	storyAccount,
	storyHead,
} from "../report/campaign-account.ts";
import type { SeedRange } from "./campaign-worker.ts";
import { EXIT } from "./exit.ts";
import { keepFailing } from "./failing-seeds.ts";
import { printMarked } from "./paint.ts";
import { tell } from "./progress.ts";
import { projectRoot } from "./root.ts";
import { statedSeed } from "./stated-seed.ts";
import { dealOut, threadHand } from "./worker-pool.ts";

export interface CampaignOptions {
	readonly seeds?: string;
	readonly hours?: number;
	readonly json?: boolean;
	/** Folder for the seeds that fail. */
	readonly write?: string;
}

/** What is played where nobody says: every fault leads five stories. */
const USUAL_SEEDS = "1..1200";
/** Seeds that a thread is sent at a time. */
const CHUNK = 4;
/** Failing seeds are written here, from the folder where the command runs. */
const FOLDER = "lees-campaign";
const SEED_MAX = 2 ** 31 - 1;

/**
 * @param controller another one in place of the standard one, all in this thread: for tests
 * @returns the exit status: 1 when an invariant is broken @throws InputError
 */
export async function campaign(
	options: CampaignOptions,
	{ controller }: Pick<SeedOptions, "controller"> = {},
): Promise<number> {
	const seeds = rangeOf(options.seeds);
	const hoursMax = options.hours ?? HOURS_MAX;
	const isJson = options.json === true;
	const isOne = seeds.from === seeds.to;
	const pins = loadPins(projectRoot);
	const spoilt = controller === undefined ? {} : { controller };
	const keep = { hoursMax, pins, folder: options.write ?? FOLDER, ...spoilt };
	const began = process.hrtime.bigint();
	const wallSeconds = () => Number(process.hrtime.bigint() - began) / 1e9;
	if (isOne && !isJson) {
		const story = drawStory(seeds.from, hoursMax);
		printMarked(storyHead(story, hoursMax));
		const played = playStory(story, pins, spoilt);
		printMarked(storyAccount(played));
		printMarked(keptAccount(keepFailing(played.failures, keep)));
		return played.failures.length === 0 ? EXIT.good : EXIT.doesNotHold;
	}
	if (!isJson) printMarked(campaignHead(seeds, hoursMax));
	const few = seeds.to - seeds.from < CHUNK || controller !== undefined;
	const play = (seed: number) => playStory(drawStory(seed, hoursMax), pins, spoilt);
	const tally = few ? playHere(seeds, play) : await playAll(seeds, hoursMax);
	const sums = resultOf(tally, seeds, hoursMax, wallSeconds());
	const found: CampaignResult = { ...sums, kept: keepFailing(tally.failures, keep) };
	if (isJson) process.stdout.write(`${JSON.stringify(found, null, 2)}\n`);
	else printMarked(campaignAccount(found));
	return found.violations === 0 ? EXIT.good : EXIT.doesNotHold;
}

function rangeOf(given: string | undefined): SeedRange {
	const typed = statedSeed("--seeds", given, USUAL_SEEDS);
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

/** A few seeds at a time to whichever thread is free; added up in the order of the seeds. */
async function playAll(seeds: SeedRange, hoursMax: number): Promise<Tally> {
	const number = seeds.to - seeds.from + 1;
	const chunks = Array.from({ length: Math.ceil(number / CHUNK) }, (_, i): SeedRange => {
		const from = seeds.from + i * CHUNK;
		return { from, to: Math.min(seeds.to, from + CHUNK - 1) };
	});
	const threads = Math.min(availableParallelism(), chunks.length);
	const file = new URL("campaign-worker.js", import.meta.url);
	const hands = Array.from({ length: threads }, () =>
		threadHand<SeedRange, Tally>(file, { hoursMax }),
	);
	let runs = 0;
	let violations = 0;
	const tallies = await dealOut(chunks, hands, {
		nameOf: ({ from, to }) => `seeds ${from}..${to}`,
		onAnswer: (tally) => {
			runs += tally.runs;
			violations += tally.failures.length;
			tell(`${runs} of ${number} runs, ${violations} violations`);
		},
	});
	tell("");
	return tallies.reduce(addTallies, NO_RUNS);
}

function playHere({ from, to }: SeedRange, play: (seed: number) => SeedRun): Tally {
	let sum = NO_RUNS;
	for (let seed = from; seed <= to; seed += 1) sum = addTallies(sum, tallyOf(play(seed)));
	return sum;
}
