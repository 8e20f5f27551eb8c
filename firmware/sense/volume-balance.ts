// A transfer's three counts against each other: litres out of the source by its level, through the
// meter, and into the destination by its level. What does not agree beyond what senders, tank
// shapes and meter may be off is fuel that goes where nobody wants it, or a sensor that is wrong.
// Pure. Uncertainties add as the root of their squares (JCGM 100:2008, 5.1.2).

import type { Rig } from "../config/rig.ts";

/** A smoothed sender's step, trim and roll at both ends of a move, share of the tank (invented). */
const LEVEL_SD = 0.004;
/** What a tank really holds against its file, share (common practice, no source). */
const SHAPE_SD = 0.025;
/** Filling of hoses and bowl, and what the smoothing lags behind, L (invented). */
const LAG_SD_LITRES = 1;
/** Accuracy that a meter is bought with, taken as two standard deviations (common practice). */
const METER_SD = { "positive-displacement": 0.01, turbine: 0.025 } as const;
/** So many standard deviations are no chance, and so many litres are worth a stop. */
const SURE_SD = 4;
const LITRES_MIN = 4;

export interface Transfer {
	readonly from: Rig["tanks"][number] | undefined;
	readonly to: Rig["tanks"][number] | undefined;
	/** Moves of the levels since the order's first flow, share of each volume; null if unknown. */
	readonly fromMoved: number | null;
	readonly toMoved: number | null;
	/** Through the meter in that time, L. */
	readonly litres: number;
}

/** @returns what does not agree, in words; null while all does that can be compared */
export function imbalanceOf(rig: Rig, transfer: Transfer): string | null {
	const { from, to, fromMoved, toMoved, litres } = transfer;
	const meterSd = METER_SD[rig.meter.kind] * litres;
	const out = fromMoved === null || from === undefined ? null : -fromMoved * from.volumeLitres;
	const into = toMoved === null || to === undefined ? null : toMoved * to.volumeLitres;
	const outSd = out === null ? 0 : levelSd(from?.volumeLitres ?? 0, out);
	const intoSd = into === null ? 0 : levelSd(to?.volumeLitres ?? 0, into);
	// What is lost on the way comes first: it is in the boat.
	if (into !== null && isOff(litres - into, meterSd, intoSd)) {
		return litres > into
			? `${figure(litres)} metered, ${figure(into)} arrived: look for spilt fuel and at the return`
			: `${figure(into)} arrived, ${figure(litres)} metered: filled from elsewhere, or the meter`;
	}
	if (out !== null && isOff(out - litres, meterSd, outSd)) {
		return out > litres
			? `${figure(out)} left the tank, ${figure(litres)} metered: another way out, or the meter`
			: `${figure(litres)} metered, ${figure(out)} left the tank: is the tube in the tank ordered?`;
	}
	if (out !== null && into !== null && isOff(out - into, outSd, intoSd)) {
		return `${figure(out)} left one tank, ${figure(into)} arrived in the other`;
	}
	return null;
}

const levelSd = (volumeLitres: number, moved: number): number =>
	Math.hypot(LEVEL_SD * volumeLitres, SHAPE_SD * moved, LAG_SD_LITRES);

const isOff = (litres: number, oneSd: number, otherSd: number): boolean =>
	Math.abs(litres) > Math.max(LITRES_MIN, SURE_SD * Math.hypot(oneSd, otherSd));

const figure = (litres: number) => `${litres.toFixed(1)} L`;
