// The element's restriction over litres: its level and its growth by a filter of two states, how
// much dirt the element still takes, and the litres until then, with an interval. The one owner of
// fit, forecast and interval; the host imports it. Pure, plain JSON.
//
// Fit: Kalman (1960) over the litres pumped. While one tank is polished its dirt falls as
// exp(-k V), k being the share held over the tank's litres (a stirred vessel: Levenspiel, Chemical
// Reaction Engineering, chapter 5), so growth does too. Forecast: Ruth's cake, whose resistance
// rises in a straight line with the mass held (Coulson and Richardson, volume 2, chapter 7); that
// a real element bends off the line stands in the interval.

import type { Rig } from "../config/rig.ts";
import type { ElementDrop } from "./suction-side.ts";

/** Fast noise of one sample, kPa at the gauge (0.15 kPa over ten seconds, and a rolling boat). */
const SAMPLE_SD_KPA = 0.2;
/** The fast part that pulses and viscosity add, share of the drop. */
const SAMPLE_SD_SHARE = 0.015;
/** Dirt that is stirred up or not: a growth wanders by this share of itself in a turnover. */
const WANDER_SHARE = 0.7;
/** A litre's own roughness of the level, kPa (invented). */
const LEVEL_SD_KPA = 0.02;
/** Further off than so many standard deviations is no growth; after so many samples a step. */
const STEP_SD = 5;
const STEP_SAMPLES = 3;
/** So far off twice in a row, to one side, and growth has become another one. */
const LEAN_SD = 2;
const LEAN_SAMPLES = 2;
/** A usual load where nobody has counted, g/L, and how far it may be off (common practice). */
const USUAL_G_PER_L = 0.05;
const USUAL_FACTOR = 3;
/** Share of a turnover that mixes: 0.3 to 1 (common practice, no source). */
const MIXING = 0.6;

/** Capacity against the maker's figure, of test dust: one standard deviation of its logarithm. */
const CAPACITY_SD = 0.17;
/** The clean element against the maker's figure, share (common practice, no source). */
const CLEAN_SD = 0.2;
/** Powers of the mass with which real elements grow: surface cakes 1, depth media more. */
const BENDS: readonly number[] = [0.9, 1.05, 1.25];

export interface RestrictionState {
	/** Referred to free flow and 15 °C, kPa: level, and growth per litre. */
	readonly kpa: number;
	readonly perLitre: number;
	/** Their covariance. */
	readonly varKpa: number;
	readonly covariance: number;
	readonly varPerLitre: number;
	/** Of what lies off for hours, kPa. */
	readonly sdKpa: number;
	/** Level when this fit began, and what has come since then in steps, kPa. */
	readonly firstKpa: number;
	readonly steppedKpa: number;
	/** Samples in a row that lie over the fit, or under it as a number below 0. */
	readonly leans: number;
	/** Samples in a row that lie off, and all of them. */
	readonly odd: number;
	readonly samples: number;
}

/** One sample of settled pumping. */
export interface RestrictionSample {
	readonly drop: ElementDrop;
	/** Litres since the last one. */
	readonly litres: number;
	/** In the tank; infinite where what is drawn does not come back. */
	readonly tankLitres: number;
}

/** Growth that a gram makes, kPa/g, by the rig file. */
export const growthPerGram = ({ element }: Pick<Rig, "element">): number =>
	(element.changeAtKpa - element.cleanKpa) / element.dirtToChangeGrams;

/** What a tank's dirt falls by with each litre, 1/L. */
export const thinningPerLitre = ({ element }: Pick<Rig, "element">, tankLitres: number): number =>
	(MIXING * element.dirtEfficiency) / tankLitres;

/** @param before null before the first sample of an element */
export function followRestriction(
	rig: Rig,
	before: RestrictionState | null,
	sample: RestrictionSample,
): RestrictionState {
	const { drop, litres, tankLitres } = sample;
	const noise = SAMPLE_SD_KPA / drop.perReferred + SAMPLE_SD_SHARE * Math.max(0, drop.referredKpa);
	const varNoise = noise * noise;
	if (before === null) return begin(rig, drop, varNoise);
	const fades = Math.exp(-thinningPerLitre(rig, tankLitres) * litres);
	const wander = WANDER_SHARE * Math.max(Math.abs(before.perLitre), usualPerLitre(rig) / 4);
	const turnovers = litres / Math.min(tankLitres, 1_000);
	// Where it should stand by now.
	const kpa = before.kpa + before.perLitre * litres;
	const perLitre = before.perLitre * fades;
	let varKpa =
		before.varKpa +
		2 * litres * before.covariance +
		litres * litres * before.varPerLitre +
		LEVEL_SD_KPA * LEVEL_SD_KPA * litres;
	let covariance = fades * (before.covariance + litres * before.varPerLitre);
	let varPerLitre = fades * fades * before.varPerLitre + wander * wander * turnovers;
	// And what the sample says.
	const off = drop.referredKpa - kpa;
	let spread = varKpa + varNoise;
	const isOdd = off * off > STEP_SD * STEP_SD * spread;
	const leans = leaning(before.leans, off, spread);
	if (isOdd) {
		const odd = before.odd + 1;
		if (odd < STEP_SAMPLES)
			return { ...before, kpa, perLitre, varKpa, covariance, varPerLitre, odd };
		return {
			...before,
			kpa: drop.referredKpa,
			perLitre,
			varKpa: varNoise,
			covariance: 0,
			varPerLitre,
			sdKpa: drop.sdKpa,
			steppedKpa: before.steppedKpa + off,
			leans: 0,
			odd: 0,
			samples: before.samples + 1,
		};
	}
	if (Math.abs(leans) >= LEAN_SAMPLES && litres > 0) {
		// The growth that would explain it is as likely as not.
		const unlike = off / litres / LEAN_SAMPLES;
		const more = unlike * unlike;
		varPerLitre += more;
		covariance += more * litres;
		varKpa += more * litres * litres;
		spread = varKpa + varNoise;
	}
	const gainKpa = varKpa / spread;
	const gainPerLitre = covariance / spread;
	return {
		kpa: kpa + gainKpa * off,
		perLitre: perLitre + gainPerLitre * off,
		varKpa: (1 - gainKpa) * varKpa,
		covariance: (1 - gainKpa) * covariance,
		varPerLitre: varPerLitre - gainPerLitre * covariance,
		sdKpa: drop.sdKpa,
		firstKpa: before.firstKpa,
		steppedKpa: before.steppedKpa,
		leans,
		odd: 0,
		samples: before.samples + 1,
	};
}

/** One more to the same side, or none. */
function leaning(before: number, off: number, spread: number): number {
	if (off * off < LEAN_SD * LEAN_SD * spread) return 0;
	if (off > 0) return before > 0 ? before + 1 : 1;
	return before < 0 ? before - 1 : -1;
}

const usualPerLitre = (rig: Rig): number =>
	USUAL_G_PER_L * rig.element.dirtEfficiency * growthPerGram(rig);

function begin(rig: Rig, { referredKpa, sdKpa }: ElementDrop, varNoise: number): RestrictionState {
	const perLitre = usualPerLitre(rig);
	return {
		kpa: referredKpa,
		perLitre,
		varKpa: varNoise,
		covariance: 0,
		varPerLitre: (USUAL_FACTOR * perLitre) ** 2,
		sdKpa,
		firstKpa: referredKpa,
		steppedKpa: 0,
		leans: 0,
		odd: 0,
		samples: 1,
	};
}

/** An interval that holds the truth in 80 of 100 cases; infinite where it never comes. */
export interface Interval {
	readonly low: number;
	readonly median: number;
	readonly high: number;
}

export interface Forecast {
	/** Dirt that the element still takes until it is to be changed, g. */
	readonly grams: Interval;
	/** Litres until then, if this tank goes on being pumped. */
	readonly litres: Interval;
}

/** Middles of nine equal shares of a standard normal (normal quantiles at 1/18, 3/18, ...). */
const NINTHS: readonly number[] = [-1.593, -0.967, -0.589, -0.282, 0, 0.282, 0.589, 0.967, 1.593];
/** Shares of a turnover that may mix (common practice, no source). */
const MIXINGS: readonly number[] = [0.35, 0.6, 0.95];

/** What a forecast takes from the rig file. */
export interface ForecastElement {
	readonly element: Pick<
		Rig["element"],
		"cleanKpa" | "changeAtKpa" | "dirtToChangeGrams" | "dirtEfficiency"
	>;
}

/**
 * Every combination of what is not known, each as likely, sorted.
 * @param tankLitres what is polished; infinite where the fuel does not come back
 */
export function forecast(
	{ element }: ForecastElement,
	state: RestrictionState,
	tankLitres: number,
): Forecast {
	const sdKpa = Math.hypot(state.sdKpa, Math.sqrt(state.varKpa));
	const sdPerLitre = Math.sqrt(state.varPerLitre);
	const grams: number[] = [];
	const litres: number[] = [];
	for (const ofLevel of NINTHS) {
		const kpa = Math.max(0, state.kpa + ofLevel * sdKpa);
		for (const second of NINTHS) {
			const clean = element.cleanKpa * (1 + CLEAN_SD * second);
			for (const third of NINTHS) {
				const capacity = element.dirtToChangeGrams * Math.exp(CAPACITY_SD * third);
				for (const bend of BENDS) {
					const load = Math.max(0, (kpa - clean) / (element.changeAtKpa - clean));
					grams.push(load >= 1 ? 0 : capacity * (1 - load ** (1 / bend)));
				}
			}
			const perLitre = state.perLitre + sdPerLitre * second;
			for (const mixing of MIXINGS) {
				const thinning = (mixing * element.dirtEfficiency) / tankLitres;
				litres.push(litresUntil(element.changeAtKpa - kpa, perLitre, thinning));
			}
		}
	}
	return { grams: intervalOf(grams), litres: intervalOf(litres) };
}

/** V of g/k (1 - exp(-k V)) = rise; never, where all of the tank's dirt makes less. */
function litresUntil(riseKpa: number, perLitre: number, thinning: number): number {
	if (riseKpa <= 0) return 0;
	if (perLitre <= 0) return Number.POSITIVE_INFINITY;
	const share = (thinning * riseKpa) / perLitre;
	if (share >= 1) return Number.POSITIVE_INFINITY;
	return share < 1e-9 ? riseKpa / perLitre : -Math.log1p(-share) / thinning;
}

function intervalOf(values: number[]): Interval {
	values.sort((a, b) => a - b);
	const at = (share: number) => values[Math.round(share * (values.length - 1))] ?? 0;
	return { low: at(0.1), median: at(0.5), high: at(0.9) };
}
