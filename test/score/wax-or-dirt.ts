// How often the words about a plugged element are wrong: wax called dirt, or dirt wax. Random rigs,
// fuels and temperatures; the true cloud point lies evenly within 4 K of the stated one, since all
// that is known of it is a bound, and a normal one would lie nearer. The pump runs until the vacuum
// has been over its limit for 20 s, and then it is asked. Beside it the naive rule: a vacuum over
// its limit is dirt. Seeds are others than those that the priors were weighed on (1 to 800).

import { type Side, sideOf } from "../../firmware/sense/restriction-words.ts";
import { pluggingOf } from "../../firmware/sense/wax-or-dirt.ts";
import type { Measured, Score } from "./score.ts";
import {
	CASES_A_JOB,
	casesFrom,
	Draw,
	percent,
	SUCTION_SOURCES,
	SuctionCase,
	startOf,
	statedRig,
	trueRig,
} from "./suction-cases.ts";

const FIRST_SEED = 90_001;
const CASES = 500;
/** Longest pumping, s; over the limit for so long, s. */
const LONGEST_S = 4 * 3_600;
const OVER_S = 20;
/** An order waits while the fuel is colder: the lowest that is ever pumped, °C. */
const COLDEST_C = 2;
/** Less than this over clean plugs nothing: the fuel is thick. Share of the range. */
const PLUGGED_SHARE = 0.3;

export interface Told {
	readonly seed: number;
	readonly said: "wax" | "dirt" | "undecided";
	/** The trip's words would name the element, or thick fuel, and so give the verdict. */
	readonly side: Side;
	readonly truth: "wax" | "dirt";
	/** Wax's share of what is over clean. */
	readonly waxShare: number;
	/** The true cloud point over the stated one, and the fuel over the true one, K. */
	readonly cloudOffK: number;
	readonly warmerK: number;
	readonly minutes: number;
}

/** @returns null where nothing plugs within the time, or the fuel is only thick */
export function tellOnce(seed: number): Told | null {
	const draw = new Draw(seed);
	const statedC = draw.even(-4, 10);
	const cloudOffK = draw.even(-4, 4);
	const stated = statedRig(draw, statedC);
	const actual = trueRig(draw, stated, cloudOffK);
	const fuelC = Math.max(COLDEST_C + 0.5, statedC + draw.even(-8, 14));
	const airC = Math.max(COLDEST_C, fuelC - draw.even(-4, 10));
	const dirtGrams = actual.element.dirtToChangeGrams * draw.even(0.3, 5);
	const run = new SuctionCase(stated, actual, startOf(draw, seed, { dirtGrams, fuelC, airC }));
	let overS = 0;
	let s = 0;
	for (; s < LONGEST_S && overS < OVER_S; s += 1) {
		run.second();
		const kpa = run.sensed?.pumpingVacuumKpa ?? 0;
		overS = kpa > stated.setpoints.vacuumStopKpa ? overS + 1 : 0;
	}
	const { dirtKpa, waxKpa } = run.truth;
	const { changeAtKpa, cleanKpa } = stated.element;
	if (overS < OVER_S || dirtKpa + waxKpa < PLUGGED_SHARE * (changeAtKpa - cleanKpa)) return null;
	return {
		seed,
		said: pluggingOf(stated, run.sensed?.plugging ?? null),
		side: run.sensed === null ? "either" : sideOf(run.sensed, stated),
		truth: waxKpa > dirtKpa ? "wax" : "dirt",
		waxShare: waxKpa / (waxKpa + dirtKpa),
		cloudOffK,
		warmerK: run.model.fuel.celsius - statedC - cloudOffK,
		minutes: s / 60,
	};
}

/**
 * A job is the first seed of its cases.
 * @public asked for by the threads
 */
export const part = (first: number): Array<Told | null> =>
	Array.from({ length: CASES_A_JOB }, (_, i) => tellOnce(first + i));

export function figuresOf(told: readonly Told[]) {
	const count = (is: (one: Told) => boolean) => percent(told.filter(is).length, told.length);
	return {
		cases: told.length,
		waxPct: count(({ truth }) => truth === "wax"),
		wrongPct: count(({ said, truth }) => said !== "undecided" && said !== truth),
		undecidedPct: count(({ said }) => said === "undecided"),
		waxCalledDirtPct: count(({ said, truth }) => said === "dirt" && truth === "wax"),
		dirtCalledWaxPct: count(({ said, truth }) => said === "wax" && truth === "dirt"),
		naiveWrongPct: count(({ truth }) => truth === "wax"),
		tubeOrElementPct: count(({ side }) => side === "either"),
		calledTubePct: count(({ side }) => side === "tube"),
		bothPct: count(({ waxShare }) => waxShare > 0.25 && waxShare < 0.75),
	};
}

async function run(): Promise<Measured> {
	return { figures: figuresOf(await casesFrom<Told>(import.meta.url, FIRST_SEED, CASES)) };
}

export const waxOrDirt: Score = {
	name: "wax-or-dirt",
	title: "wax told from dirt with the cloud point known to 4 K either way",
	measures: ["test/score/wax-or-dirt.ts", "firmware/sense/wax-or-dirt.ts", ...SUCTION_SOURCES],
	goals: [
		{ figure: "wrongPct", atMost: 5, words: "wax called dirt, or dirt wax, % of the cases" },
		{ figure: "undecidedPct", atMost: 15, words: "neither said, % of the cases" },
		{ figure: "naiveWrongPct", words: "the same if every high vacuum is called dirt, %" },
	],
	run,
};
