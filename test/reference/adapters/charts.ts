// Group 12: CUSUM and EWMA, their run lengths and their recursions. Shifts and sums are in
// standard deviations.

import {
	type CusumPlan,
	cusumAtStart,
	cusumSignal,
	cusumStep,
	EWMA_AT_START,
	type EwmaPlan,
	ewmaLimit,
	ewmaSignal,
	ewmaStep,
} from "../../../firmware/sense/control-chart.ts";
import {
	cusumOneSided,
	cusumTwoSided,
	ewmaTwoSided,
	shewhartTwoSided,
	siegmundOneSided,
	siegmundTwoSided,
} from "../../../firmware/sense/run-length.ts";
import type { Adapter, Inputs } from "../adapter.ts";
import { type Key, list, one, over } from "../given.ts";

type Length = (plan: CusumPlan, shift: number) => number;

const CUSUM: readonly Key[] = ["k", "h", ["S0", 0]];

const cusum = (length: Length) => (inputs: Inputs) =>
	over(inputs, ["shift_sigma", ...CUSUM], (shift = 0, slack = 0, limit = 0, headStart = 0) =>
		length({ slack, limit, headStart }, shift),
	);

/** The same at one shift, whatever shifts the row lists. */
const cusumAt = (length: Length, shift: (inputs: Inputs) => number) => (inputs: Inputs) =>
	over(inputs, CUSUM, (slack = 0, limit = 0, headStart = 0) =>
		length({ slack, limit, headStart }, shift(inputs)),
	);

/** The shift whose length a row calls ARL1: the first in its list that is not 0. */
const shifted = (inputs: Inputs) =>
	list(inputs, ["shift_sigma", 1]).find((shift) => shift !== 0) ?? 1;
const unshifted = () => 0;

const oneSided: Length = (plan, shift) => cusumOneSided(plan, shift, plan.headStart);
const bothSides = cusum(cusumTwoSided);
const aboveOnly = cusum(oneSided);

const siegmundAnswers: Adapter["answers"] = {
	ARL_one_sided: cusum(siegmundOneSided),
	ARL_two_sided: cusum(siegmundTwoSided),
	ARL0_one_sided: cusumAt(siegmundOneSided, unshifted),
	ARL0_two_sided: cusumAt(siegmundTwoSided, unshifted),
	ARL1: cusumAt(siegmundOneSided, shifted),
};

const ewma = (inputs: Inputs) =>
	over(inputs, ["shift_sigma", "lambda", "L"], (shift = 0, weight = 0, width = 0) =>
		ewmaTwoSided({ weight, width }, shift),
	);

const shewhart = (shift: (inputs: Inputs) => number) => (inputs: Inputs) =>
	over(inputs, ["L"], (width = 0) => shewhartTwoSided(width, shift(inputs)));

const cusumPlan = (inputs: Inputs): CusumPlan => ({
	slack: one(inputs, "k"),
	limit: one(inputs, ["h", Number.POSITIVE_INFINITY]),
	headStart: one(inputs, ["S0", 0]),
});

const ewmaPlan = (inputs: Inputs): EwmaPlan => ({
	weight: one(inputs, "lambda"),
	width: one(inputs, ["L", 3]),
});

function cusumTrace(inputs: Inputs) {
	const plan = cusumPlan(inputs);
	let state = cusumAtStart(plan);
	return list(inputs, "x").map((value) => {
		state = cusumStep(plan, state, value);
		return { ...state, signal: cusumSignal(plan, state) };
	});
}

function ewmaTrace(inputs: Inputs) {
	const plan = ewmaPlan(inputs);
	let average = EWMA_AT_START;
	return list(inputs, "x").map((value) => {
		average = ewmaStep(plan, average, value);
		return { average, signal: ewmaSignal(plan, average) };
	});
}

/** Place of the first signal, from 0; null when there is none. */
function firstSignal(trace: ReadonlyArray<{ signal: unknown }>): number | null {
	const found = trace.findIndex(({ signal }) => signal !== null);
	return found < 0 ? null : found;
}

export const chartsAdapters: readonly Adapter[] = [
	{
		group: 12,
		needs: ["k", "h", "shift_sigma"],
		topic: /two-sided.*CUSUM|CUSUM.*two-sided/i,
		answers: { ARL: bothSides, published_ARL: bothSides },
	},
	{
		group: 12,
		needs: ["k", "h", "shift_sigma"],
		topic: /one-sided.*CUSUM|CUSUM.*one-sided/i,
		answers: { ARL: aboveOnly, published_ARL: aboveOnly },
	},
	{
		group: 12,
		needs: ["k", "h", "shift_sigma"],
		topic: /Siegmund/i,
		answers: {
			...siegmundAnswers,
			printed: (inputs) =>
				Object.fromEntries(
					Object.entries(siegmundAnswers).map(([field, answer]) => [field, answer(inputs)]),
				),
		},
	},
	{
		group: 12,
		needs: ["lambda", "L", "shift_sigma"],
		answers: { ARL: ewma, published_ARL: ewma },
	},
	{
		group: 12,
		needs: ["L"],
		topic: /Shewhart/i,
		answers: { ARL0: shewhart(unshifted), ARL1: shewhart(shifted) },
	},
	{
		group: 12,
		needs: ["x", "k"],
		answers: {
			S_plus: (inputs) => cusumTrace(inputs).map(({ above }) => above),
			S_minus: (inputs) => cusumTrace(inputs).map(({ below }) => below),
			cusum_signal_index_0based: (inputs) => firstSignal(cusumTrace(inputs)),
		},
	},
	{
		group: 12,
		needs: ["x", "lambda"],
		answers: {
			ewma: (inputs) => ewmaTrace(inputs).map(({ average }) => average),
			ewma_limit_asymptotic: (inputs) => ewmaLimit(ewmaPlan(inputs)),
			ewma_signal_index_0based: (inputs) => firstSignal(ewmaTrace(inputs)),
		},
	},
];
