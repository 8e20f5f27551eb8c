// What a cable may carry without end and the fuse that guards it. Imports nothing.
// Sources: ABYC E-11 Table VI (the same numbers as 33 CFR 183.425, Table 5), ISO 10133 Table A.1
// (its successor is ISO 13297), ISO 8820-3 for blade fuses; what is from memory says so.

/**
 * Single conductor, 105 °C insulation, 30 °C outside any engine space: gauge -> A. Gauge 0 to -3
 * are 1/0 to 4/0. ABYC E-11 Table VI; below gauge 8 (thicker) from memory.
 */
const AMPS_OF_AWG: ReadonlyMap<number, number> = new Map([
	[18, 20],
	[16, 25],
	[14, 35],
	[12, 45],
	[10, 60],
	[8, 80],
	[6, 120],
	[4, 160],
	[2, 210],
	[1, 245],
	[0, 285],
	[-1, 330],
	[-2, 385],
	[-3, 445],
]);

/** Share that is left inside an engine space, 105 °C insulation. ABYC E-11 Table VI. */
const ENGINE_SPACE_SHARE = 0.85;

/** Share that is left of each conductor's current in a bundle of so many. ABYC E-11. */
export function bundleShare(conductors: number): number {
	if (conductors < 3) return 1;
	if (conductors <= 6) return conductors === 3 ? 0.7 : 0.6;
	// More than 24 share 0.4: from memory.
	return conductors <= 24 ? 0.5 : 0.4;
}

export interface CablePlace {
	readonly engineSpace: boolean;
	/** Conductors that carry current in the same bundle, itself included. */
	readonly bundled: number;
}

/** Amperes that a gauge may carry without end; null for a gauge that the table lacks. */
export function abycAmps(awg: number, { engineSpace, bundled }: CablePlace): number | null {
	const amps = AMPS_OF_AWG.get(awg);
	if (amps === undefined) return null;
	return amps * (engineSpace ? ENGINE_SPACE_SHARE : 1) * bundleShare(bundled);
}

/** Rating of the insulation, °C. */
export type InsulationC = 60 | 70 | 105;

/** mm² -> A at 60, 70 and 105 °C. ISO 10133 Table A.1, from memory. */
const AMPS_OF_MM2: readonly (readonly [number, Readonly<Record<InsulationC, number>>])[] = [
	[0.75, { 60: 6, 70: 10, 105: 16 }],
	[1, { 60: 8, 70: 14, 105: 20 }],
	[1.5, { 60: 12, 70: 18, 105: 25 }],
	[2.5, { 60: 17, 70: 25, 105: 35 }],
	[4, { 60: 22, 70: 35, 105: 45 }],
	[6, { 60: 29, 70: 45, 105: 60 }],
	[10, { 60: 40, 70: 65, 105: 90 }],
];

/** Amperes that a single conductor may carry without end; null for a size that the table lacks. */
export function isoAmps(mm2: number, insulationC: InsulationC): number | null {
	return AMPS_OF_MM2.find(([size]) => size === mm2)?.[1][insulationC] ?? null;
}

/** Ratings of blade fuses, A. ISO 8820-3, from memory. */
export const BLADE_FUSES_A: readonly number[] = [1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 35, 40];

/** A fuse at rest carries four fifths of its rating without end (common practice). */
const OVER_RUNNING = 1.25;

/**
 * A blade fuse bears twice its rating for at least 0.15 s (ISO 8820-3, from memory), longer than a
 * small motor takes to turn (common practice). A longer or larger start needs a larger fuse.
 */
const OVER_RATING_AT_START = 2;

export interface FuseNeed {
	readonly runningAmps: number;
	/** Peak while the motor starts, at most 0.15 s long. */
	readonly startAmps: number;
	/** Of the thinnest cable behind the fuse. */
	readonly ampacityAmps: number;
}

/**
 * Smallest blade fuse, A, of at least 1.25 times the running current that outlasts the start and is
 * not above what the cable carries; null when no rating is both. Common practice; ISO 13297 and
 * ABYC E-11 as guidance for a fuse that guards the cable.
 */
export function fuseFor({ runningAmps, startAmps, ampacityAmps }: FuseNeed): number | null {
	const least = Math.max(OVER_RUNNING * runningAmps, startAmps / OVER_RATING_AT_START);
	const rating = BLADE_FUSES_A.find((amps) => amps >= least);
	return rating !== undefined && rating <= ampacityAmps ? rating : null;
}
