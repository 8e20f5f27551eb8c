// Hours and litres, kept as whole milliseconds and whole pulses so that nothing is lost in adding
// up: for each tank, the run, the element in use, and what nobody ordered (a pulse after the end, a
// welded contact). The rig's total is their sum. Litres are pulses over the K-factor.

import type { Rig } from "./config/rig.ts";

export interface Tally {
	readonly motorMs: number;
	readonly pulses: number;
}

export interface Totals {
	readonly element: Tally;
	readonly unordered: Tally;
	readonly run: Tally;
	readonly tanks: Readonly<Record<string, Tally>>;
}

const ZERO: Tally = { motorMs: 0, pulses: 0 };

export function totalsAtBoot(rig: Pick<Rig, "tanks">): Totals {
	const tanks = Object.fromEntries(rig.tanks.map((tank) => [tank.name, ZERO]));
	return { element: ZERO, unordered: ZERO, run: ZERO, tanks };
}

/** Adds one tick. `tank` is the order's, or undefined for pulses that nobody ordered. */
export function addTick(
	totals: Totals,
	tank: string | undefined,
	motorMs: number,
	pulses: number,
): Totals {
	if (motorMs === 0 && pulses === 0) return totals;
	const { unordered, run } = totals;
	const element = plus(totals.element, motorMs, pulses);
	if (tank === undefined) {
		return { element, unordered: plus(unordered, motorMs, pulses), run, tanks: totals.tanks };
	}
	const tanks: Record<string, Tally> = { ...totals.tanks };
	tanks[tank] = plus(tanks[tank] ?? ZERO, motorMs, pulses);
	return { element, unordered, run: plus(run, motorMs, pulses), tanks };
}

function plus(tally: Tally, motorMs: number, pulses: number): Tally {
	return { motorMs: tally.motorMs + motorMs, pulses: tally.pulses + pulses };
}

/** Adds a whole run, as a restart finds it in the log. */
export function addTally(totals: Totals, tank: string, run: Tally): Totals {
	return { ...addTick(totals, tank, run.motorMs, run.pulses), run };
}

/** Totals of runs with what a restart finds that nobody ordered; the element has had both. */
export function withUnordered(totals: Totals, unordered: Tally): Totals {
	const element = {
		motorMs: totals.element.motorMs + unordered.motorMs,
		pulses: totals.element.pulses + unordered.pulses,
	};
	return { ...totals, element, unordered };
}

/** All that the rig has pumped, ordered or not. */
export function rigTally({ tanks, unordered }: Totals): Tally {
	return Object.values(tanks).reduce(
		(sum, tally) => ({
			motorMs: sum.motorMs + tally.motorMs,
			pulses: sum.pulses + tally.pulses,
		}),
		unordered,
	);
}

export const withNewRun = (totals: Totals): Totals => ({ ...totals, run: ZERO });

export function isSameTally(a: Tally, b: Tally): boolean {
	return a.motorMs === b.motorMs && a.pulses === b.pulses;
}

export function litres(tally: Tally, rig: Rig): number {
	return tally.pulses / rig.meter.pulsesPerLitre;
}

export function hours(tally: Tally): number {
	return tally.motorMs / 3_600_000;
}
