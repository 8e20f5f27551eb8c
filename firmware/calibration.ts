// Calibration of the flow meter and the uncertainty of what it counts: K-factor, weighing, bucket
// and stopwatch, repeated runs, effective degrees of freedom. Imports Student's t beside it only.
// Source: JCGM 100:2008 (GUM); its clause numbers from memory. Uncertainties are standard ones.

import type { Rig } from "./config/rig.ts";
import { studentFactor } from "./sense/student.ts";

/** A quantity and its standard uncertainty in the same unit. */
export interface Measured {
	readonly value: number;
	readonly uncertainty: number;
}

/** Pulses a second at a flow, Hz; `pulsesPerLitre` is the meter's K-factor. */
export const pulseHz = (pulsesPerLitre: number, flowLpm: number): number =>
	(pulsesPerLitre * flowLpm) / 60;

/** What some data sheets print instead of a K-factor: Hz for each L/min. */
export const hzPerLpm = (pulsesPerLitre: number): number => pulseHz(pulsesPerLitre, 1);

/** Litres of a count of pulses. */
export const litresOf = (pulses: number, pulsesPerLitre: number): number => pulses / pulsesPerLitre;

/** Standard uncertainty of a value that lies evenly anywhere within ±`halfWidth`. 4.3.7 */
export const rectangular = (halfWidth: number): number => halfWidth / Math.sqrt(3);

/** The same where the middle is likeliest and the ends are not met. 4.3.9 */
export const triangular = (halfWidth: number): number => halfWidth / Math.sqrt(6);

/** Standard uncertainty of a count that began with a pulse: up to one pulse lost at its end. */
export const COUNT_FROM_PULSE = rectangular(0.5);

/** Of a count that began and ended at any moment: up to one pulse too many or too few. */
export const COUNT_AT_RANDOM = triangular(1);

/** Relative uncertainty of a product or quotient of independent quantities. 5.1.6 */
export const relativeUncertainty = (factors: readonly Measured[]): number =>
	Math.hypot(...factors.map(({ value, uncertainty }) => uncertainty / value));

const measured = (value: number, factors: readonly Measured[]): Measured => ({
	value,
	uncertainty: Math.abs(value) * relativeUncertainty(factors),
});

/** K-factor, pulses/L, from a count and the litres that passed. */
export const kFactor = (pulses: Measured, litres: Measured): Measured =>
	measured(pulses.value / litres.value, [pulses, litres]);

/**
 * K-factor, pulses/L, from the mass that passed. A balance in air shows 0.13 % too little of diesel
 * (buoyancy against steel weights, from memory): correct `massKg` first where that counts.
 * @param densityKgL at the temperature in the meter
 */
export function kFactorByWeighing(
	pulses: Measured,
	massKg: Measured,
	densityKgL: Measured,
): Measured {
	const litres = measured(massKg.value / densityKgL.value, [massKg, densityKgL]);
	return kFactor(pulses, litres);
}

/** A stopwatch reading, s, with a press at each end that is each off by a standard uncertainty. */
export const stopwatch = (seconds: number, eachPressS: number): Measured => ({
	value: seconds,
	uncertainty: Math.SQRT2 * eachPressS,
});

/** Mean flow, L/min, of a filled bucket. */
export const bucketFlowLpm = (litres: Measured, seconds: Measured): Measured =>
	measured((60 * litres.value) / seconds.value, [litres, seconds]);

/** Repeated readings of one quantity. 4.2 */
export interface Repeated {
	readonly mean: number;
	/** Experimental standard deviation of one reading. */
	readonly deviation: number;
	/** Standard uncertainty of the mean. */
	readonly uncertainty: number;
	readonly degreesOfFreedom: number;
}

/** Type A evaluation; with fewer than two readings the deviation is NaN: one says nothing of it. */
export function repeated(readings: readonly number[]): Repeated {
	const count = readings.length;
	const mean = readings.reduce((sum, reading) => sum + reading, 0) / count;
	const squares = readings.reduce((sum, reading) => sum + (reading - mean) ** 2, 0);
	const degreesOfFreedom = count - 1;
	const deviation = degreesOfFreedom < 1 ? Number.NaN : Math.sqrt(squares / degreesOfFreedom);
	return { mean, deviation, uncertainty: deviation / Math.sqrt(count), degreesOfFreedom };
}

/** One source of uncertainty, times its sensitivity, so that all have the result's unit. */
export interface Component {
	readonly uncertainty: number;
	/** Infinity where the uncertainty itself is taken as known. */
	readonly degreesOfFreedom: number;
}

export interface Combined {
	readonly uncertainty: number;
	readonly degreesOfFreedom: number;
	/** Student's t for the level, at the degrees of freedom to one decimal. */
	readonly factor: number;
	readonly expanded: number;
}

/**
 * Combined and expanded uncertainty of independent components: root of the sum of squares (5.1.2),
 * Welch-Satterthwaite (G.4.1), coverage factor by Student's t.
 * @param level share of the values that the interval holds, 0.95 as a rule
 */
export function combine(components: readonly Component[], level = 0.95): Combined {
	const uncertainty = Math.hypot(...components.map((component) => component.uncertainty));
	const fourths = components.reduce(
		(sum, component) => sum + component.uncertainty ** 4 / component.degreesOfFreedom,
		0,
	);
	const degreesOfFreedom = uncertainty ** 4 / fourths;
	// G.4.1 prints them to one decimal: as an estimate they are worth no more digits than that.
	const factor = studentFactor(Math.round(10 * degreesOfFreedom) / 10, level);
	return { uncertainty, degreesOfFreedom, factor, expanded: factor * uncertainty };
}

/** How far a maker's K-factor may be off, share (common practice, no source). */
const MAKER_SHARE = { "positive-displacement": 0.05, turbine: 0.1 } as const;
/** How far a pump's rated flow is from what it gives here, share (common practice, no source). */
const RATED_SHARE = 0.3;

/** K-factor that the rig file states, pulses/L: by calibration, or else by the meter's maker. */
export function statedKFactor({ meter }: Pick<Rig, "meter">): Measured {
	const { kind, pulsesPerLitre, calibrationPct } = meter;
	const share =
		calibrationPct === undefined ? rectangular(MAKER_SHARE[kind]) : calibrationPct / 100;
	return { value: pulsesPerLitre, uncertainty: share * pulsesPerLitre };
}

/** Flow of the pump that the rig file states, L/h: measured, or else its rated free flow. */
export function statedPumpLph({ pump }: Pick<Rig, "pump">): Measured {
	const { measuredLph, measuredPct, freeFlowLph } = pump;
	if (measuredLph === undefined) {
		return { value: freeFlowLph, uncertainty: rectangular(RATED_SHARE) * freeFlowLph };
	}
	return { value: measuredLph, uncertainty: (measuredPct / 100) * measuredLph };
}
