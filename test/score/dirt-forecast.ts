// How well the firmware forecasts the dirt that an element still takes: over random rigs, fuels,
// temperatures, loads and laws of clogging, how often its 80 % interval holds the truth. Seeds are
// others than those that the forecast was tuned on (1 to 600).

import { forecast, type Interval } from "../../firmware/sense/restriction.ts";
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

const FIRST_SEED = 10_001;
const CASES = 400;
/** Pumping before the question, and after it until the litres are known, s. */
const ASKED_S = { min: 900, max: 7_200 };
const WAITED_S = 3_600;
/** Nobody asks after an element that is all but full, share of its true capacity. */
const LEFT_MIN = 0.03;

interface Answer {
	readonly grams: Interval;
	readonly gramsTrue: number;
	/** Of what the rig file says it holds. */
	readonly capacityGrams: number;
	/** In the order of their size; null where it goes on for ever. */
	readonly litres: readonly [low: number | null, high: number | null];
	/** Until it was full, or as far as was waited. */
	readonly litresTrue: number;
	readonly isFull: boolean;
}

const finite = (litres: number) => (Number.isFinite(litres) ? litres : null);

/** @returns null where there is nothing to ask any more */
export function askOnce(seed: number): Answer | null {
	const draw = new Draw(seed);
	const stated = statedRig(draw, -30);
	const actual = trueRig(draw, stated, 0);
	const fuelC = draw.even(3, 25);
	const dirtGrams = draw.spread(actual.element.dirtToChangeGrams, 0.7);
	const airC = fuelC + draw.even(-6, 6);
	const run = new SuctionCase(stated, actual, startOf(draw, seed, { dirtGrams, fuelC, airC }));
	const askedS = draw.even(ASKED_S.min, ASKED_S.max);
	for (let s = 0; s < askedS; s += 1) run.second();
	const restriction = run.sensed?.restriction ?? null;
	const capacity = actual.element.dirtToChangeGrams;
	const gramsTrue = capacity - run.truth.dirtGrams;
	if (restriction === null || gramsTrue < LEFT_MIN * capacity) return null;
	const { grams, litres } = forecast(stated, restriction, run.tankLitres);
	const before = run.model.truth.litresThroughPump;
	let waitedS = 0;
	while (waitedS < WAITED_S && run.truth.referredKpa < actual.element.changeAtKpa) {
		run.second();
		waitedS += 1;
	}
	return {
		grams,
		gramsTrue,
		capacityGrams: stated.element.dirtToChangeGrams,
		litres: [finite(litres.low), finite(litres.high)],
		litresTrue: run.model.truth.litresThroughPump - before,
		isFull: waitedS < WAITED_S,
	};
}

/**
 * A job is the first seed of its cases.
 * @public asked for by the threads
 */
export const part = (first: number): Array<Answer | null> =>
	Array.from({ length: CASES_A_JOB }, (_, i) => askOnce(first + i));

const median = (values: readonly number[]): number =>
	[...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? Number.NaN;
const rounded = (value: number) => Math.round(10 * value) / 10;

export function figuresOf(answers: readonly Answer[]) {
	const held = answers.filter(({ grams, gramsTrue }) => isIn(gramsTrue, grams.low, grams.high));
	// What was not full by then is only known to take more.
	const litres = answers.filter(({ litres: [low, high], litresTrue, isFull }) => {
		const most = high ?? Number.POSITIVE_INFINITY;
		if (!isFull) return most > litresTrue;
		return isIn(litresTrue, low ?? Number.POSITIVE_INFINITY, most);
	});
	const width = ({ grams }: Answer) => grams.high - grams.low;
	return {
		cases: answers.length,
		gramsCoveredPct: percent(held.length, answers.length),
		gramsBelowPct: percent(
			answers.filter(({ grams, gramsTrue }) => gramsTrue < grams.low).length,
			answers.length,
		),
		medianWidthGrams: rounded(median(answers.map(width))),
		medianWidthPctOfCapacity: rounded(
			median(answers.map((one) => (100 * width(one)) / one.capacityGrams)),
		),
		medianErrorGrams: rounded(
			median(answers.map(({ grams, gramsTrue }) => Math.abs(grams.median - gramsTrue))),
		),
		litresCoveredPct: percent(litres.length, answers.length),
	};
}

const isIn = (value: number, low: number, high: number) => value >= low && value <= high;

async function run(): Promise<Measured> {
	return { figures: figuresOf(await casesFrom<Answer>(import.meta.url, FIRST_SEED, CASES)) };
}

export const dirtForecast: Score = {
	name: "dirt-forecast",
	title: "dirt that the element still takes, forecast with an 80 % interval",
	measures: ["test/score/dirt-forecast.ts", ...SUCTION_SOURCES],
	goals: [
		{
			figure: "gramsCoveredPct",
			atLeast: 75,
			atMost: 85,
			words: "cases in which the interval holds the true dirt mass, %",
		},
		{ figure: "medianWidthGrams", words: "width of the interval, g" },
		{ figure: "medianWidthPctOfCapacity", words: "the same, % of what the rig file says" },
		{ figure: "litresCoveredPct", words: "cases in which its litres hold the truth, %" },
	],
	run,
};
