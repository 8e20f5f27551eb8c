// Has the element been plugged by wax or by dirt? A thermometer alone cannot tell: the cloud point
// is stated, and the true one lies up to 4 K either way. So the growth is asked as well. Dirt grows
// with the litres and thins with the tank; wax grows with the litres that were colder than the
// cloud point, the more the colder they were, and melts when they are not. Pure, plain JSON.
//
// Method: Bayes over both causes at once; the cloud point, how fast dirt thins and both growths are
// nuisance parameters on a grid (Gelman and others, Bayesian Data Analysis, chapter 3). What a run
// says of them is kept as running means and products (Welford, Technometrics 4 (1962) 419-420), for
// each cloud point and thinning; the grid is worked through only when somebody asks.

import type { Rig } from "../config/rig.ts";
import { fuelOf } from "./fuel.ts";
import type { Quantity } from "./quantity.ts";
import { growthPerGram } from "./restriction.ts";

export type Plugging = "dirt" | "wax" | "undecided";

/** Cloud points that are thought of, K off the stated one, and how likely each is beforehand. */
const CLOUDS_K: readonly number[] = [-5, -4, -3, -2, -1, 0, 1, 2, 3, 4, 5];
/** Level within the 4 K, half at its edge: a thermometer may be off by half a degree itself. */
const CLOUD_PRIOR: readonly number[] = CLOUDS_K.map((k) => (Math.abs(k) > 4 ? 0.3 : 1));
/**
 * How fast a tank's dirt thins, against the held share of a stirred vessel: some corners hardly
 * mix, some dirt sinks before it is drawn, some is stirred up later (common practice, no source).
 */
const THINNINGS: readonly number[] = [0, 0.5, 1, 2];
/** Wax melts off an element that is warmer than the cloud point within so long, s (invented). */
const MELTS_S = 600;
/**
 * Dirt in fuel that plugs an element within a run, g/L: level in its logarithm from a usual load
 * to sludge that is drawn in, since nobody has counted (common practice, no source).
 */
const DIRT_G_PER_L: readonly number[] = [0.03, 0.06, 0.12, 0.25, 0.5, 1, 2, 4, 8];
/** Wax that falls out below the cloud point, g/(L K): 1 to 2 % within 10 K (from memory). */
const WAX_G_PER_L_K: readonly number[] = [0.0625, 0.125, 0.25, 0.5, 1, 2, 4, 8, 16];
/** Normal in its logarithm, with a factor of three either way as one standard deviation. */
const WAX_PRIOR: readonly number[] = WAX_G_PER_L_K.map((g) =>
	Math.exp(-((Math.log2(g) / 1.5) ** 2) / 2),
);
/** One sample's error, kPa, and share of the growth's spread: no cake grows just by the rule. */
const ERROR_KPA = 0.3;
const ERROR_SHARE = 0.05;
/** Errors last for some samples: so many count as one. */
const LASTING = 3;
/** As sure as this of the larger part, it is said. */
const SURE = 0.7;

/** Running means and products for one thinning of the tank's dirt. */
interface DirtSums {
	/** Litres of the first fuel that would hold as much dirt, L, and what a litre still has of it. */
	readonly dirt: number;
	readonly fades: number;
	readonly mean: number;
	readonly dirtDirt: number;
	readonly dirtKpa: number;
}

/** The same for one cloud point. */
interface CloudSums {
	/** Degrees under the cloud point over the litres so far, K L, less what has melted. */
	readonly wax: number;
	readonly mean: number;
	readonly waxWax: number;
	readonly waxKpa: number;
	/** With each of the thinnings. */
	readonly waxDirt: readonly number[];
}

export interface PluggingSums {
	readonly count: number;
	readonly meanKpa: number;
	readonly kpaKpa: number;
	/** Of the first sample. */
	readonly firstKpa: number;
	readonly firstC: number;
	readonly dirts: readonly DirtSums[];
	readonly clouds: readonly CloudSums[];
}

const NO_DIRT: DirtSums = { dirt: 0, fades: 1, mean: 0, dirtDirt: 0, dirtKpa: 0 };
const NO_CLOUD: CloudSums = {
	wax: 0,
	mean: 0,
	waxWax: 0,
	waxKpa: 0,
	waxDirt: THINNINGS.map(() => 0),
};

/** One sample of settled pumping. */
export interface PluggingSample {
	/** The element's drop, referred to free flow and 15 °C. */
	readonly referredKpa: number;
	readonly fuelC: Quantity;
	readonly litres: number;
	readonly seconds: number;
	/** In the tank; infinite where what is drawn does not come back. */
	readonly tankLitres: number;
	/** The first one out of this tank: its dirt has not been thinned yet. */
	readonly isNewTank: boolean;
}

/** @returns null while no thermometer tells */
export function followPlugging(
	rig: Rig,
	before: PluggingSums | null,
	{ referredKpa, fuelC, litres, seconds, tankLitres, isNewTank }: PluggingSample,
): PluggingSums | null {
	if (typeof fuelC !== "number") return null;
	if (before === null) {
		return {
			count: 1,
			meanKpa: referredKpa,
			kpaKpa: 0,
			firstKpa: referredKpa,
			firstC: fuelC,
			dirts: THINNINGS.map(() => NO_DIRT),
			clouds: CLOUDS_K.map(() => NO_CLOUD),
		};
	}
	const count = before.count + 1;
	const offKpa = referredKpa - before.meanKpa;
	const meanKpa = before.meanKpa + offKpa / count;
	const restKpa = referredKpa - meanKpa;
	const thinning = rig.element.dirtEfficiency / tankLitres;
	const dirts = before.dirts.map((sums, i): DirtSums => {
		const had = isNewTank ? 1 : sums.fades;
		const fades = had * Math.exp(-(THINNINGS[i] ?? 0) * thinning * litres);
		const dirt = sums.dirt + litres * fades;
		const off = dirt - sums.mean;
		const mean = sums.mean + off / count;
		return {
			dirt,
			fades,
			mean,
			dirtDirt: sums.dirtDirt + off * (dirt - mean),
			dirtKpa: sums.dirtKpa + off * restKpa,
		};
	});
	const statedC = fuelOf(rig).cloudPointC;
	const clouds = before.clouds.map((sums, i): CloudSums => {
		const below = statedC + (CLOUDS_K[i] ?? 0) - fuelC;
		const wax = below > 0 ? sums.wax + below * litres : sums.wax * Math.exp(-seconds / MELTS_S);
		const off = wax - sums.mean;
		const mean = sums.mean + off / count;
		return {
			wax,
			mean,
			waxWax: sums.waxWax + off * (wax - mean),
			waxKpa: sums.waxKpa + off * restKpa,
			waxDirt: sums.waxDirt.map((sum, t) => {
				const { dirt, mean: meanDirt } = dirts[t] ?? NO_DIRT;
				return sum + off * (dirt - meanDirt);
			}),
		};
	});
	return {
		count,
		meanKpa,
		kpaKpa: before.kpaKpa + offKpa * restKpa,
		firstKpa: before.firstKpa,
		firstC: before.firstC,
		dirts,
		clouds,
	};
}

/** Weights of the cells in which wax holds the larger part, and of all: sums of exponentials. */
class Weights {
	private best = Number.NEGATIVE_INFINITY;
	private all = 0;
	private wax = 0;

	/** Scaled to the likeliest so far, so that numbers stay within a double's range. */
	add(log: number, prior: number, isWax: boolean): void {
		if (log > this.best) {
			const shrinks = Math.exp(this.best - log);
			this.all *= shrinks;
			this.wax *= shrinks;
			this.best = log;
		}
		const weight = prior * Math.exp(log - this.best);
		this.all += weight;
		if (isWax) this.wax += weight;
	}

	get share(): number {
		return this.wax / this.all;
	}
}

/**
 * How likely it is that wax holds the larger part of what is over the clean element, 0 to 1; null
 * where nothing tells. What the element held at the first sample counts as dirt where that was
 * warmer than the cloud point: wax would have melted.
 */
export function waxShare(rig: Rig, sums: PluggingSums | null): number | null {
	if (sums === null || sums.count < 3) return null;
	const { element } = rig;
	const statedC = fuelOf(rig).cloudPointC;
	const perGram = growthPerGram(rig);
	const perHeld = perGram * element.dirtEfficiency;
	const heldKpa = Math.max(0, sums.firstKpa - element.cleanKpa);
	const error = ERROR_KPA + ERROR_SHARE * Math.sqrt(sums.kpaKpa / sums.count);
	const perSquare = -1 / (2 * error * error * LASTING);
	const weights = new Weights();
	sums.clouds.forEach((cloud, c) => {
		const wasWarm = sums.firstC > statedC + (CLOUDS_K[c] ?? 0);
		sums.dirts.forEach((dirts, t) => {
			const both = cloud.waxDirt[t] ?? 0;
			for (let d = 0; d < DIRT_G_PER_L.length; d += 1) {
				const perDirt = perHeld * (DIRT_G_PER_L[d] ?? 0);
				const dirtKpa = perDirt * dirts.dirt + (wasWarm ? heldKpa : 0);
				const ofDirt = perDirt * (perDirt * dirts.dirtDirt - 2 * dirts.dirtKpa);
				for (let w = 0; w < WAX_G_PER_L_K.length; w += 1) {
					const perWax = perGram * (WAX_G_PER_L_K[w] ?? 0);
					const ofWax = perWax * (perWax * cloud.waxWax - 2 * cloud.waxKpa);
					const square = ofDirt + ofWax + 2 * perDirt * perWax * both;
					const prior = (CLOUD_PRIOR[c] ?? 0) * (WAX_PRIOR[w] ?? 0);
					weights.add(square * perSquare, prior, perWax * cloud.wax > dirtKpa);
				}
			}
		});
	});
	return weights.share;
}

export function pluggingOf(rig: Rig, sums: PluggingSums | null): Plugging {
	const share = waxShare(rig, sums);
	if (share === null) return "undecided";
	return share > SURE ? "wax" : share < 1 - SURE ? "dirt" : "undecided";
}
