// Hours and litres: of a run, a tank, an element, a rig. Litres are reckoned twice, by the meter's
// pulses and by hours times what the pump moves, and both are kept beside each other. Pure.
//
// Uncertainty after JCGM 100:2008: what all parts share (K-factor, the meter's allowance, the
// pump's rate) is summed, what each has for itself (counts, clocks) is added in squares. How far a
// meter and an uncorrected pump may be off is common practice, no source.

import {
	combine,
	litresOf,
	type Measured,
	rectangular,
	statedKFactor,
	triangular,
} from "../../firmware/calibration.ts";
import type { Boot, Part } from "./runs.ts";

/** A sum over runs; uncertainties are standard ones. */
export interface Moved {
	readonly parts: number;
	readonly hours: Measured;
	readonly meterLitres: Measured;
	/** Null where a record does not say what the pump moves. */
	readonly hoursLitres: Measured | null;
	/** Of the meter's litres, by which those by hours differ, %; null where one of them is nought. */
	readonly differencePct: number | null;
	/** Whether they are no further apart than k = 2 of both together; null without both. */
	readonly isWithin: boolean | null;
}

/** Coverage factor of every uncertainty that is answered: k = 2. */
export const COVERAGE = 2;

/** Of what the meter shows, while fuel and flow change: a half-width, share. */
const METER_ALLOWANCE = { "positive-displacement": 0.02, turbine: 0.05 } as const;
/**
 * Of hours times rate, which nobody corrects for vacuum, voltage and cold: a half-width, share. A
 * rate that is only rated has the same figure in its own uncertainty already, and once is enough.
 */
const RATE_ALLOWANCE = 0.3;
/** Of hours: share, or seconds a start where that is more. */
const HOURS_ALLOWANCE = { share: 0.001, secondsAStart: 0.1 };

/** The pulses counted may be off by one at each run's ends together. */
const COUNT = triangular(1);

/** Sums parts of one rig. */
export function movedBy(parts: readonly Part[]): Moved {
	const hours = hoursOf(parts);
	const meterLitres = byMeter(parts);
	const hoursLitres = byHours(parts, hours);
	const hasBoth = hoursLitres !== null && hoursLitres.value > 0 && meterLitres.value > 0;
	const apart = hoursLitres === null ? 0 : hoursLitres.value - meterLitres.value;
	const spread = Math.hypot(meterLitres.uncertainty, hoursLitres?.uncertainty ?? 0);
	return {
		parts: parts.length,
		hours,
		meterLitres,
		hoursLitres,
		differencePct: hasBoth ? (100 * apart) / meterLitres.value : null,
		isWithin: hasBoth ? Math.abs(apart) <= COVERAGE * spread : null,
	};
}

/** Litres by the meter, without what they may be off. */
export const litresIn = (parts: readonly Part[]): number =>
	parts.reduce(
		(sum, { boot, tally }) =>
			sum + (boot === null ? 0 : litresOf(tally.pulses, boot.meter.pulsesPerLitre)),
		0,
	);

function hoursOf(parts: readonly Part[]): Measured {
	const value = sum(parts.map(({ tally }) => tally.motorMs)) / 3_600_000;
	const starts = sum(parts.map((part) => part.starts));
	const byStarts = (HOURS_ALLOWANCE.secondsAStart * starts) / 3600;
	return {
		value,
		uncertainty: rectangular(Math.max(HOURS_ALLOWANCE.share * value, byStarts)),
	};
}

/** K-factor of a boot's meter; one that does not say of what kind it is counts as a turbine. */
function kFactorOf({ meter }: Boot): Measured {
	const { pulsesPerLitre, uncertainty } = meter;
	if (uncertainty !== null) return { value: pulsesPerLitre, uncertainty };
	return statedKFactor({ meter: { kind: "turbine", pulsesPerLitre } });
}

function byMeter(parts: readonly Part[]): Measured {
	// Litres that one K-factor stands behind: its error is the same in all of them.
	const shared = new Map<string, { litres: number; k: Measured }>();
	let allowance = 0;
	let counts = 0;
	for (const { boot, tally } of parts) {
		if (boot === null) continue;
		const k = kFactorOf(boot);
		const litres = litresOf(tally.pulses, k.value);
		const key = `${k.value}/${k.uncertainty}`;
		const before = shared.get(key)?.litres ?? 0;
		shared.set(key, { litres: before + litres, k });
		allowance += litres * rectangular(METER_ALLOWANCE[boot.meter.kind ?? "turbine"]);
		counts = Math.hypot(counts, COUNT / k.value);
	}
	const groups = [...shared.values()];
	const ofK = groups.map(({ litres, k }) => (litres * k.uncertainty) / k.value);
	return {
		value: sum(groups.map(({ litres }) => litres)),
		uncertainty: standard([...ofK, allowance, counts]),
	};
}

function byHours(parts: readonly Part[], hours: Measured): Measured | null {
	const shared = new Map<string, { litres: number; own: number }>();
	let allowance = 0;
	for (const { boot, tally } of parts) {
		if (tally.motorMs === 0) continue;
		const pump = boot?.pump ?? null;
		if (pump === null) return null;
		const litres = (pump.lph * tally.motorMs) / 3_600_000;
		const key = `${pump.lph}/${pump.uncertainty}/${pump.isMeasured}`;
		const before = shared.get(key)?.litres ?? 0;
		shared.set(key, { litres: before + litres, own: pump.uncertainty / pump.lph });
		if (pump.isMeasured) allowance += litres * rectangular(RATE_ALLOWANCE);
	}
	const groups = [...shared.values()];
	const value = sum(groups.map(({ litres }) => litres));
	const ofRates = groups.map(({ litres, own }) => litres * own);
	const ofHours = hours.value === 0 ? 0 : (value * hours.uncertainty) / hours.value;
	return { value, uncertainty: standard([...ofRates, allowance, ofHours]) };
}

/** Combined standard uncertainty of independent components, each taken as known. */
function standard(components: readonly number[]): number {
	const own = components.filter((uncertainty) => uncertainty > 0);
	if (own.length === 0) return 0;
	const degreesOfFreedom = Number.POSITIVE_INFINITY;
	return combine(own.map((uncertainty) => ({ uncertainty, degreesOfFreedom }))).uncertainty;
}

const sum = (values: readonly number[]): number => values.reduce((all, value) => all + value, 0);
