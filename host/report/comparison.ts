// Two results of one scenario beside each other, as before and after a change: what the bench
// tells differently. Differences smaller than the digits told are seen and not told.

import type { BenchResult, Verdict } from "../../sim/bench/judge.ts";
import { clock } from "./account.ts";

/** One thing that is told differently, in the words of both sides. */
export interface Change {
	readonly what: string;
	readonly before: string;
	readonly after: string;
}

export interface Comparison {
	readonly scenario: string;
	readonly seed: number;
	/** Outcome, trips with their times, litres, pump. */
	readonly changes: readonly Change[];
	/** As they were found after the change. */
	readonly brokenNow: readonly Verdict[];
	readonly heldNow: readonly Verdict[];
	readonly brokenBoth: readonly Verdict[];
	/** Nothing at all differs, to the last digit. */
	readonly isSame: boolean;
}

type Figure = readonly [what: string, digits: number, of: (result: BenchResult) => number];

const figures: readonly Figure[] = [
	["litres logged", 2, ({ logged }) => logged.litres],
	["litres true", 2, ({ truth }) => truth.litresThroughPump],
	["litres spilled", 3, ({ truth }) => truth.litresSpilled],
	["water past the bowl, mL", 1, ({ truth }) => truth.freeWaterPastBowlMl],
	["pump run dry, s", 1, ({ truth }) => truth.dryPumpSeconds],
	["lowest supply, V", 2, ({ truth }) => truth.supplyVoltsMin],
	["simulated time, s", 1, ({ simulatedSeconds }) => simulatedSeconds],
];

export function compare(before: BenchResult, after: BenchResult): Comparison {
	const outcome = { what: "outcome", before: before.outcome, after: after.outcome };
	const told = figures.map(([what, digits, of]) => ({
		what,
		before: of(before).toFixed(digits),
		after: of(after).toFixed(digits),
	}));
	const all = [outcome, ...tripChanges(before, after), ...told];
	return {
		scenario: after.scenario,
		seed: after.seed,
		changes: all.filter((change) => change.before !== change.after),
		brokenNow: verdicts(before, after, true, false),
		heldNow: verdicts(before, after, false, true),
		brokenBoth: verdicts(before, after, false, false),
		isSame: essence(before) === essence(after),
	};
}

/** All of a result but for the wall's clock, as text. */
export const essence = ({ wallSeconds: _, ...rest }: BenchResult): string => JSON.stringify(rest);

/** The first of a code beside the first, the second beside the second, in the order of times. */
function tripChanges(before: BenchResult, after: BenchResult): Change[] {
	const [was, is] = [numbered(before), numbered(after)];
	const times = [...was, ...is].sort(([, one], [, other]) => one - other);
	const names = [...new Set(times.map(([name]) => name))];
	const words = (atSeconds: number | undefined) =>
		atSeconds === undefined ? "none" : `${clock(atSeconds * 1_000)}.${tenth(atSeconds)}`;
	return names.map((name) => ({
		what: `trip ${name}`,
		before: words(was.get(name)),
		after: words(is.get(name)),
	}));
}

function numbered({ trips }: BenchResult): Map<string, number> {
	const counts = new Map<string, number>();
	return new Map(
		trips.map(({ code, atSeconds }) => {
			const count = (counts.get(code) ?? 0) + 1;
			counts.set(code, count);
			return [count === 1 ? code : `${code} (${count})`, atSeconds];
		}),
	);
}

/** Trips come with ticks, and a tick is a tenth of a second. */
const tenth = (atSeconds: number): number => Math.floor(atSeconds * 10 + 1e-6) % 10;

/** As found after the change: those that held or not before it, and hold or not now. */
function verdicts(
	before: BenchResult,
	after: BenchResult,
	wasHeld: boolean,
	isHeld: boolean,
): Verdict[] {
	return after.expectations.filter(
		({ held }, i) => held === isHeld && before.expectations[i]?.held === wasHeld,
	);
}
