// A quantity at rest: its mean over some seconds in which it is known all the time, against what
// the person has read beside it, or against nought. Pure.

import { MEASURE_MS, type Proceeding } from "./steps.ts";
import { failed, gaveUp, judged, type Kind, rounded, shownOf, type Values } from "./trial.ts";

type Measure = Extract<Proceeding, { kind: "measure" }>;

export interface MeasureWork {
	readonly kind: "measure";
	/** What the person typed; null before it. */
	readonly entries: Values | null;
	readonly askedMs: number;
	readonly sinceMs: number;
	readonly sums: readonly number[];
	readonly count: number;
}

/** A quantity that is not known for long enough within it fails, ms. */
const WITHIN_MS = 60_000;
const DIGITS = 3;

export const measure: Kind<Measure, MeasureWork> = {
	begin: ({ of }, { nowMs }) => ({
		kind: "measure",
		entries: null,
		askedMs: nowMs,
		sinceMs: nowMs,
		sums: of.map(() => 0),
		count: 0,
	}),
	advance({ of }, work, { nowMs, sensed, name, cycle }) {
		const [trip] = cycle.context.trips;
		if (name !== "idle") {
			return { work, end: gaveUp("trip", `the controller is ${trip?.code ?? name}`) };
		}
		if (work.entries === null) return { work };
		const now = of.map(({ quantity }) => sensed[quantity]);
		const lost = now.findIndex((value) => typeof value !== "number");
		if (lost >= 0) {
			if (nowMs - work.askedMs > WITHIN_MS) {
				return { work, end: failed([`${of[lost]?.quantity} is not known: ${now[lost]}`]) };
			}
			return { work: { ...work, sinceMs: nowMs, sums: of.map(() => 0), count: 0 } };
		}
		const sums = work.sums.map((sum, i) => sum + Number(now[i]));
		const more = { ...work, sums, count: work.count + 1 };
		if (nowMs - work.sinceMs < MEASURE_MS) return { work: more };
		return { work: more, end: verdict(of, more, work.entries) };
	},
	answer: (_, work, values, { nowMs }) => ({
		work: { ...work, entries: values, askedMs: nowMs, sinceMs: nowMs },
	}),
	asks: (_, { entries }) => (entries === null ? "answer" : "wait"),
	say: (_, { entries }) =>
		entries === null ? "Type what you have read beside it." : "Keep still: it is measured.",
	entries: ({ entries }) => entries,
	isTried: (_, { entries }) => entries !== null,
	seen: ({ of }, _, sensed) =>
		Object.fromEntries(of.map(({ quantity }) => [quantity, shownOf(sensed[quantity], DIGITS)])),
};

function verdict(of: Measure["of"], { sums, count }: MeasureWork, entries: Values) {
	const values: Record<string, number | string> = { ...entries };
	const reasons: string[] = [];
	of.forEach(({ quantity, against, within }, i) => {
		const mean = (sums[i] ?? 0) / count;
		const right = against === null ? 0 : Number(entries[against]);
		values[quantity] = rounded(mean, DIGITS);
		if (Math.abs(mean - right) <= within) return;
		reasons.push(`${quantity} reads ${rounded(mean, DIGITS)}, which is not ${right} ± ${within}`);
	});
	return judged(reasons, values);
}
