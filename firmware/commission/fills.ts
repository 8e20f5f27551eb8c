// Fills of a measuring can, judged: the meter's factor with its standard uncertainty, the pump's
// flow, and which fill lies off. Uncertainty after the GUM by calibration.ts: scatter of the fills
// (type A), how well the can is read and the count's one pulse (type B). All fills are read on one
// can by one person, so the reading's uncertainty is not divided by their number.
// Outliers: Grubbs, Technometrics 11 (1969) 1-21, as in ISO 5725-2: two-sided, 5 %. Shown, never
// dropped: a person strikes one, and says why. Pure.

import { COUNT_AT_RANDOM, combine, type Measured, repeated, stopwatch } from "../calibration.ts";
import type { Rig } from "../config/rig.ts";
import { studentFactor } from "../sense/student.ts";
import type { Fill } from "./evidence.ts";
import { type End, judged, rounded } from "./trial.ts";

export const FILLS_MIN = 3;
/** Fills of one size agree within it, share of their mean. */
const SIZE_SHARE = 0.1;
/** Standard uncertainty that is good enough, % (common practice for each kind, no source). */
const PCT_MAX = { "positive-displacement": 1, turbine: 2.5 } as const;
/** The rig file's factor is right within twice the uncertainty, and within this share. */
const FILE_SHARE = 0.005;
/** A thumb on a stopwatch, standard uncertainty of a press, s (common practice, no source). */
const PRESS_SECONDS = 0.2;
const LEVEL = 0.05;

export interface Factor {
	readonly perLitre: Measured;
	/** Effective degrees of freedom (Welch-Satterthwaite). */
	readonly degreesOfFreedom: number;
	readonly pumpLph: Measured;
}

/** Neither struck, nor those that a step has passed by. */
const freshOf = (fills: readonly Fill[]): readonly Fill[] =>
	fills.filter(({ used, struck }) => !used && !struck);

/** Those that count for a factor: of what is not struck, what no step has passed by yet. */
export function counting(fills: readonly Fill[]): readonly Fill[] {
	const isNew = fills.some(({ used }) => !used);
	return isNew ? freshOf(fills) : fills.filter(({ struck }) => !struck);
}

export const perLitreOf = ({ pulses, litres }: Fill): number => pulses / litres;

/** @returns null before there are three fills */
export function factorOf(fills: readonly Fill[]): Factor | null {
	if (fills.length < FILLS_MIN) return null;
	const can = Math.max(...fills.map((fill) => fill.litresUncertainty / fill.litres));
	const counts = fills.map(({ pulses }) => COUNT_AT_RANDOM / Math.max(1, pulses));
	const count = Math.hypot(...counts) / fills.length;
	const perLitre = repeated(fills.map(perLitreOf));
	const k = combine([
		{ uncertainty: perLitre.uncertainty, degreesOfFreedom: perLitre.degreesOfFreedom },
		{ uncertainty: can * perLitre.mean, degreesOfFreedom: Number.POSITIVE_INFINITY },
		{ uncertainty: count * perLitre.mean, degreesOfFreedom: Number.POSITIVE_INFINITY },
	]);
	const lph = repeated(fills.map(({ litres, seconds }) => (3_600 * litres) / seconds));
	const watch = Math.max(
		...fills.map(({ seconds }) => stopwatch(seconds, PRESS_SECONDS).uncertainty / seconds),
	);
	const pumpUncertainty = Math.hypot(lph.uncertainty, can * lph.mean, watch * lph.mean);
	return {
		perLitre: { value: perLitre.mean, uncertainty: k.uncertainty },
		degreesOfFreedom: k.degreesOfFreedom,
		pumpLph: { value: lph.mean, uncertainty: pumpUncertainty },
	};
}

/** Grubbs' critical value for so many readings. */
export function grubbsLimit(count: number): number {
	const degrees = count - 2;
	const t = studentFactor(degrees, 1 - LEVEL / count);
	return ((count - 1) / Math.sqrt(count)) * Math.sqrt((t * t) / (degrees + t * t));
}

/** The fill that lies furthest off, where it does so by more than chance; else null. */
export function oddFill(fills: readonly Fill[]): Fill | null {
	if (fills.length < FILLS_MIN) return null;
	const { mean, deviation } = repeated(fills.map(perLitreOf));
	if (!(deviation > 0)) return null;
	const off = (fill: Fill) => Math.abs(perLitreOf(fill) - mean) / deviation;
	const worst = fills.reduce((one, other) => (off(other) > off(one) ? other : one));
	return off(worst) > grubbsLimit(fills.length) ? worst : null;
}

/**
 * What the fills say of the step: it passes by a factor that is certain enough and is the rig
 * file's. Null while they say nothing yet: more are wanted, or one is to be struck.
 */
export function verdictOf(all: readonly Fill[], rig: Rig): End | null {
	const fills = freshOf(all);
	const factor = factorOf(fills);
	if (factor === null || unequal(fills) !== null) return null;
	const { perLitre, pumpLph } = factor;
	const pct = (100 * perLitre.uncertainty) / perLitre.value;
	if (pct > PCT_MAX[rig.meter.kind]) return null;
	const within = Math.max(2 * perLitre.uncertainty, FILE_SHARE * perLitre.value);
	const [shown, shownPct] = [rounded(perLitre.value, 1), Math.max(0.01, rounded(pct, 2))];
	const isSame = Math.abs(rig.meter.pulsesPerLitre - perLitre.value) <= within;
	const reasons = [
		`the fills make ${shown} pulses/L, the rig file says ${rig.meter.pulsesPerLitre}`,
		`rig file: meter.pulsesPerLitre: ${shown}`,
		`rig file: meter.calibrationPct: ${shownPct}`,
	];
	return judged(isSame ? [] : reasons, {
		pulsesPerLitre: shown,
		uncertaintyPct: shownPct,
		degreesOfFreedom: rounded(Math.min(factor.degreesOfFreedom, 1e6), 1),
		fills: fills.length,
		measuredLph: rounded(pumpLph.value, 1),
		measuredPct: rounded((100 * pumpLph.uncertainty) / pumpLph.value, 2),
	});
}

/** What the fills that count still lack, in words. */
export function lacking(all: readonly Fill[], rig: Rig): string {
	const fills = freshOf(all);
	const more = FILLS_MIN - fills.length;
	if (more > 0) return `${more} more ${more === 1 ? "fill" : "fills"} of one size`;
	const size = unequal(fills);
	if (size !== null) return size;
	const factor = factorOf(fills);
	const { value, uncertainty } = factor?.perLitre ?? { value: 1, uncertainty: 1 };
	const pct = rounded((100 * uncertainty) / value, 2);
	return `uncertainty ${pct} %, where ${PCT_MAX[rig.meter.kind]} % is wanted: another fill`;
}

function unequal(fills: readonly Fill[]): string | null {
	const mean = fills.reduce((sum, { litres }) => sum + litres, 0) / fills.length;
	const other = fills.find(({ litres }) => Math.abs(litres - mean) > SIZE_SHARE * mean);
	return other === undefined ? null : `the fill of ${other.litres} L is of another size: strike it`;
}
