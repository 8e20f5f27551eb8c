// Draws from the stated uncertainties: seeded, so that the same seed gives the same answer to the
// last digit, and the quantiles of what comes of them. Imports pure-rand (xoroshiro128plus).
// Normal numbers after Box and Muller (1958).

import { uniformFloat64 } from "pure-rand/distribution/uniformFloat64";
import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";
import type { Rig } from "../../firmware/config/rig.ts";
import { rounded, type Spread } from "./figures.ts";

/** Factors on what the rig file states, 1 as stated; and what is added to the lift, m. */
export interface Sample {
	readonly viscosity: number;
	readonly freeFlow: number;
	readonly deadHead: number;
	readonly cleanRestriction: number;
	readonly dirtLoad: number;
	readonly dirtCapacity: number;
	readonly mixingFactor: number;
	readonly battery: number;
	readonly liftM: number;
}

export const AS_STATED: Sample = {
	viscosity: 1,
	freeFlow: 1,
	deadHead: 1,
	cleanRestriction: 1,
	dirtLoad: 1,
	dirtCapacity: 1,
	mixingFactor: 1,
	battery: 1,
	liftM: 0,
};

/**
 * Samples of all inputs at once, each independent of the others. Factors are log-normal with 1 in
 * their middle, since none may become negative; the lift is normal.
 */
export function drawSamples(
	uncertainty: Rig["sizing"]["uncertainty"],
	seed: number,
	count: number,
): Sample[] {
	const random = xoroshiro128plus(seed);
	let spare: number | null = null;
	const normal = (): number => {
		if (spare !== null) {
			const kept = spare;
			spare = null;
			return kept;
		}
		const radius = Math.sqrt(-2 * Math.log(1 - uniformFloat64(random)));
		const angle = 2 * Math.PI * uniformFloat64(random);
		spare = radius * Math.sin(angle);
		return radius * Math.cos(angle);
	};
	const factor = (pct: number): number => {
		const sigma = Math.sqrt(Math.log1p((pct / 100) ** 2));
		return Math.exp(sigma * normal());
	};
	return Array.from({ length: count }, () => ({
		viscosity: factor(uncertainty.viscosityPct),
		freeFlow: factor(uncertainty.freeFlowPct),
		deadHead: factor(uncertainty.deadHeadPct),
		cleanRestriction: factor(uncertainty.cleanRestrictionPct),
		dirtLoad: factor(uncertainty.dirtLoadPct),
		dirtCapacity: factor(uncertainty.dirtCapacityPct),
		mixingFactor: factor(uncertainty.mixingFactorPct),
		battery: factor(uncertainty.batteryPct),
		liftM: (uncertainty.liftMm / 1e3) * normal(),
	}));
}

/** Sorts `drawn`; quantiles by the nearest rank, so that infinity may be among them. */
export function spreadOf(value: number, drawn: Float64Array): Spread {
	drawn.sort();
	const at = (share: number) => drawn[Math.ceil(share * drawn.length) - 1] ?? value;
	return {
		value: rounded(value),
		p10: rounded(at(0.1)),
		p50: rounded(at(0.5)),
		p90: rounded(at(0.9)),
	};
}
