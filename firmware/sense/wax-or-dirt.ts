// Has the element been plugged by wax or by dirt? A thermometer alone cannot tell: the cloud point
// is stated, and the true one lies up to 4 K either way. So the growth is asked as well. Dirt grows
// with the litres and thins with the tank; wax grows with the litres that were colder than the
// cloud point, the more the colder they were, and melts when they are not. Pure, plain JSON.
//
// Method: Bayes over both causes at once, the cloud point, dirt's growth and wax's growth being
// nuisance parameters on a grid (Gelman and others, Bayesian Data Analysis, chapter 3). What a run
// says of them is kept as running means and products (Welford, Technometrics 4 (1962) 419-420),
// for each cloud point; the grid is worked through only when somebody asks.

import type { Rig } from "../config/rig.ts";
import { fuelOf } from "./fuel.ts";
import type { Quantity } from "./quantity.ts";
import { growthPerGram, thinningPerLitre } from "./restriction.ts";

export type Plugging = "dirt" | "wax" | "undecided";

/** Cloud points that are thought of, K off the stated one, and how likely each is beforehand. */
const CLOUDS_K: readonly number[] = [-5, -4, -3, -2, -1, 0, 1, 2, 3, 4, 5];
/** Level within the 4 K, half at its edge: a thermometer may be off by half a degree itself. */
const CLOUD_PRIOR: readonly number[] = CLOUDS_K.map((k) => (Math.abs(k) > 4 ? 0.3 : 1));
/** Wax melts off an element that is warmer than the cloud point within so long, s (invented). */
const MELTS_S = 600;
/** Dirt in fuel where nobody has counted, g/L: its middle, and the factor that is usual. */
const DIRT_G_PER_L = 0.1;
const DIRT_FACTOR = 5;
/** Wax that falls out below the cloud point, g/(L K): 1 to 2 % within 10 K (from memory). */
const WAX_G_PER_L_K = 1;
const WAX_FACTOR = 4;
/** Rates that are thought of: standard deviations of their logarithm. */
const RATES: readonly number[] = [-2.4, -1.8, -1.2, -0.6, 0, 0.6, 1.2, 1.8, 2.4];
const RATE_PRIOR: readonly number[] = RATES.map((z) => Math.exp((-z * z) / 2));
/** One sample's error, kPa and share of the growth's spread: no cake grows just as the rule says. */
const ERROR_KPA = 0.4;
const ERROR_SHARE = 0.15;
/** Errors last for some samples: so many count as one. */
const LASTING = 12;
/** As sure as this of the larger part, it is said. */
const SURE = 0.85;

/** Running means and products for one cloud point. */
interface CloudSums {
	/** Degrees under the cloud point over the litres so far, K L, less what has melted. */
	readonly wax: number;
	readonly mean: number;
	readonly waxWax: number;
	readonly waxDirt: number;
	readonly waxKpa: number;
}

export interface PluggingSums {
	/** Samples, and litres of the tank's first fuel that would hold as much dirt, L. */
	readonly count: number;
	readonly dirt: number;
	/** What a litre holds still of that. */
	readonly fades: number;
	readonly meanDirt: number;
	readonly meanKpa: number;
	readonly dirtDirt: number;
	readonly dirtKpa: number;
	readonly kpaKpa: number;
	/** Of the first sample, and of the last. */
	readonly firstKpa: number;
	readonly firstC: number;
	readonly lastKpa: number;
	readonly clouds: readonly CloudSums[];
}

const NO_CLOUD: CloudSums = { wax: 0, mean: 0, waxWax: 0, waxDirt: 0, waxKpa: 0 };

/** One sample of settled pumping. */
export interface PluggingSample {
	/** The element's drop, referred to free flow and 15 °C. */
	readonly referredKpa: number;
	readonly fuelC: Quantity;
	readonly litres: number;
	readonly seconds: number;
	readonly tankLitres: number;
}

/** @returns null while no thermometer tells */
export function followPlugging(
	rig: Rig,
	before: PluggingSums | null,
	{ referredKpa, fuelC, litres, seconds, tankLitres }: PluggingSample,
): PluggingSums | null {
	if (typeof fuelC !== "number") return null;
	if (before === null) {
		return {
			count: 1,
			dirt: 0,
			fades: 1,
			meanDirt: 0,
			meanKpa: referredKpa,
			dirtDirt: 0,
			dirtKpa: 0,
			kpaKpa: 0,
			firstKpa: referredKpa,
			firstC: fuelC,
			lastKpa: referredKpa,
			clouds: CLOUDS_K.map(() => NO_CLOUD),
		};
	}
	const statedC = fuelOf(rig).cloudPointC;
	const fades = before.fades * Math.exp(-thinningPerLitre(rig, tankLitres) * litres);
	const dirt = before.dirt + litres * fades;
	const count = before.count + 1;
	const offKpa = referredKpa - before.meanKpa;
	const meanKpa = before.meanKpa + offKpa / count;
	const restKpa = referredKpa - meanKpa;
	const offDirt = dirt - before.meanDirt;
	const meanDirt = before.meanDirt + offDirt / count;
	const clouds = before.clouds.map((sums, i): CloudSums => {
		const below = statedC + (CLOUDS_K[i] ?? 0) - fuelC;
		const wax = below > 0 ? sums.wax + below * litres : sums.wax * Math.exp(-seconds / MELTS_S);
		const off = wax - sums.mean;
		const mean = sums.mean + off / count;
		return {
			wax,
			mean,
			waxWax: sums.waxWax + off * (wax - mean),
			waxDirt: sums.waxDirt + off * (dirt - meanDirt),
			waxKpa: sums.waxKpa + off * restKpa,
		};
	});
	return {
		count,
		dirt,
		fades,
		meanDirt,
		meanKpa,
		dirtDirt: before.dirtDirt + offDirt * (dirt - meanDirt),
		dirtKpa: before.dirtKpa + offDirt * restKpa,
		kpaKpa: before.kpaKpa + offKpa * restKpa,
		firstKpa: before.firstKpa,
		firstC: before.firstC,
		lastKpa: referredKpa,
		clouds,
	};
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
	const dirtRate = DIRT_G_PER_L * perGram * element.dirtEfficiency;
	const waxRate = WAX_G_PER_L_K * perGram;
	const heldKpa = Math.max(0, sums.firstKpa - element.cleanKpa);
	const error = ERROR_KPA + ERROR_SHARE * Math.sqrt(sums.kpaKpa / sums.count);
	const perSquare = -1 / (2 * error * error * LASTING);
	let best = Number.NEGATIVE_INFINITY;
	let all = 0;
	let wax = 0;
	sums.clouds.forEach((cloud, i) => {
		const wasWarm = sums.firstC > statedC + (CLOUDS_K[i] ?? 0);
		for (let d = 0; d < RATES.length; d += 1) {
			const perDirt = dirtRate * DIRT_FACTOR ** (RATES[d] ?? 0);
			const dirtKpa = perDirt * sums.dirt + (wasWarm ? heldKpa : 0);
			const ofDirt = perDirt * (perDirt * sums.dirtDirt - 2 * sums.dirtKpa);
			for (let w = 0; w < RATES.length; w += 1) {
				const perWax = waxRate * WAX_FACTOR ** (RATES[w] ?? 0);
				const ofWax = perWax * (perWax * cloud.waxWax - 2 * cloud.waxKpa);
				const square = ofDirt + ofWax + 2 * perDirt * perWax * cloud.waxDirt;
				const log = square * perSquare;
				if (log > best + 600) {
					// Numbers stay within a double's range.
					all = 0;
					wax = 0;
				}
				if (log > best) {
					const shrinks = Math.exp(Math.max(-700, best - log));
					all *= shrinks;
					wax *= shrinks;
					best = log;
				}
				const weight =
					(CLOUD_PRIOR[i] ?? 0) *
					(RATE_PRIOR[d] ?? 0) *
					(RATE_PRIOR[w] ?? 0) *
					Math.exp(log - best);
				all += weight;
				if (perWax * cloud.wax > dirtKpa) wax += weight;
			}
		}
	});
	return wax / all;
}

export function pluggingOf(rig: Rig, sums: PluggingSums | null): Plugging {
	const share = waxShare(rig, sums);
	if (share === null) return "undecided";
	return share > SURE ? "wax" : share < 1 - SURE ? "dirt" : "undecided";
}
