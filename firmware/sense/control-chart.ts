// Two charts that see a small lasting shift of a mean: the tabular CUSUM and the EWMA, as steps
// from state to state. Imports nothing. Values go in standardised: deviation from the target in
// standard deviations. Sources: Page (1954), Lucas and Crosier (1982) for the head start, Roberts
// (1959).

export interface CusumPlan {
	/** Deviation that is let pass, standard deviations: half the shift that shall be seen. */
	readonly slack: number;
	/** A sum above it is a signal, standard deviations. */
	readonly limit: number;
	/** Where the sums begin: half the limit sees a shift that is there from the start; else 0. */
	readonly headStart?: number;
}

/** Sum of what went above the target and of what went below it; both are 0 or more. */
export interface CusumState {
	readonly above: number;
	readonly below: number;
}

export const cusumAtStart = ({ headStart = 0 }: CusumPlan): CusumState => ({
	above: headStart,
	below: headStart,
});

/** One value further; the state of a one-sided chart is its `above` alone. */
export const cusumStep = ({ slack }: CusumPlan, state: CusumState, value: number): CusumState => ({
	above: Math.max(0, state.above + value - slack),
	below: Math.max(0, state.below - value - slack),
});

export type Side = "above" | "below";

/** The side that signals, the larger where both do; null while none does. */
export function cusumSignal({ limit }: CusumPlan, { above, below }: CusumState): Side | null {
	if (Math.max(above, below) <= limit) return null;
	return above >= below ? "above" : "below";
}

export interface EwmaPlan {
	/** Weight of the newest value, above 0 up to 1. */
	readonly weight: number;
	/** Width of the limits, standard deviations of the average itself. */
	readonly width: number;
}

/** The average begins at the target, 0. */
export const EWMA_AT_START = 0;

export const ewmaStep = ({ weight }: EwmaPlan, average: number, value: number): number =>
	weight * value + (1 - weight) * average;

/** Limit of the average after many values, standard deviations of one value. */
export const ewmaLimit = ({ weight, width }: EwmaPlan): number =>
	width * Math.sqrt(weight / (2 - weight));

/** The side that signals under the lasting limits; null while none does. */
export function ewmaSignal(plan: EwmaPlan, average: number): Side | null {
	if (Math.abs(average) <= ewmaLimit(plan)) return null;
	return average > 0 ? "above" : "below";
}
