// What a campaign has found, summed over its runs: plain JSON that adds up, in whatever order the
// runs come in. Counts are of what happened, never of what was drawn.

import { type TripCode, tripCodes } from "../../../firmware/cycle/trips.ts";
import { type Fault, faults } from "../../faults.ts";
import type { Failure, SeedRun } from "./seed-run.ts";

export interface Tally {
	readonly runs: number;
	/** Of them with a person at the rig. */
	readonly attended: number;
	readonly simulatedHours: number;
	readonly pumpOnHours: number;
	/** By their seeds. */
	readonly failures: readonly Failure[];
	/** Runs in which the fault struck while an order was under way. */
	readonly runsPerFault: Readonly<Record<Fault, number>>;
	readonly tripsPerCode: Readonly<Record<TripCode, number>>;
}

const zeros = <K extends string>(names: readonly K[]) =>
	Object.fromEntries(names.map((name) => [name, 0])) as Record<K, number>;

export const NO_RUNS: Tally = {
	runs: 0,
	attended: 0,
	simulatedHours: 0,
	pumpOnHours: 0,
	failures: [],
	runsPerFault: zeros(faults),
	tripsPerCode: zeros(tripCodes),
};

export function tallyOf({ story, run, struck, failures }: SeedRun): Tally {
	const runsPerFault = zeros(faults);
	for (const fault of struck.keys()) runsPerFault[fault] += 1;
	const tripsPerCode = zeros(tripCodes);
	for (const record of run.records) if (record.kind === "trip") tripsPerCode[record.code] += 1;
	return {
		runs: 1,
		attended: story.attended ? 1 : 0,
		simulatedHours: run.simulatedSeconds / 3_600,
		pumpOnHours: run.truth.pumpOnSeconds / 3_600,
		failures,
		runsPerFault,
		tripsPerCode,
	};
}

export function addTallies(one: Tally, other: Tally): Tally {
	const failures = [...one.failures, ...other.failures];
	return {
		runs: one.runs + other.runs,
		attended: one.attended + other.attended,
		simulatedHours: one.simulatedHours + other.simulatedHours,
		pumpOnHours: one.pumpOnHours + other.pumpOnHours,
		failures: failures.sort((a, b) => a.seed - b.seed || a.atSeconds - b.atSeconds),
		runsPerFault: sums(one.runsPerFault, other.runsPerFault, faults),
		tripsPerCode: sums(one.tripsPerCode, other.tripsPerCode, tripCodes),
	};
}

function sums<K extends string>(
	one: Readonly<Record<K, number>>,
	other: Readonly<Record<K, number>>,
	names: readonly K[],
): Record<K, number> {
	const added = zeros(names);
	for (const name of names) added[name] = one[name] + other[name];
	return added;
}
