// Copper cable at low direct voltage: geometry of the wire gauges, resistance of standard
// conductors, voltage drop and the size that a drop asks for. Imports nothing. What a cable may
// carry and its fuse: ampacity.ts. Sources: ASTM B258, IEC 60028, IEC 60228:2004, ABYC E-11.

/** Annealed copper of 100 % IACS at 20 °C, Ωm. IEC 60028. */
export const COPPER_OHM_M = 1.7241e-8;
/** Rise of its resistance at 20 °C, 1/K. IEC 60028. */
const COPPER_PER_K = 0.00393;
/** One mil, m: a circular mil is the area of a round wire of one mil. */
const MIL_M = 2.54e-5;
const METRES_PER_FOOT = 0.3048;

/** Diameter of a solid wire, m. Gauge 0, -1, -2 and -3 are 1/0 to 4/0. ASTM B258. */
export const awgDiameterM = (awg: number): number => 0.127e-3 * 92 ** ((36 - awg) / 39);

/** Area of a round wire, m². */
export const roundAreaM2 = (diameterM: number): number => (Math.PI / 4) * diameterM ** 2;

export const awgAreaM2 = (awg: number): number => roundAreaM2(awgDiameterM(awg));

/** Resistance of one metre, Ω/m, of a solid conductor; a stranded one has 2 to 4 % more. */
export const ohmPerM = (areaM2: number, ohmM: number = COPPER_OHM_M): number => ohmM / areaM2;

/**
 * Resistance of copper at a temperature over that at 20 °C. IEC 60028; straight within 1 % from
 * -50 to 150 °C.
 */
export const copperFactor = (tempC: number): number => 1 + COPPER_PER_K * (tempC - 20);

/** The same after IEC 60228 Annex B, reciprocal of its k_t. */
export const iecCopperFactor = (tempC: number): number => (234.5 + tempC) / 254.5;

/** Build of a conductor: class 2 stranded or class 5 flexible, bare or metal-coated strands. */
export type ConductorBuild = "class2Plain" | "class2Coated" | "class5Plain" | "class5Tinned";

export interface Conductor {
	readonly mm2: number;
	/** Most that it may have at 20 °C, Ω/km. */
	readonly ohmPerKm: Readonly<Record<ConductorBuild, number>>;
}

const conductor = (
	mm2: number,
	[class2Plain, class2Coated, class5Plain, class5Tinned]: readonly [number, number, number, number],
): Conductor => ({ mm2, ohmPerKm: { class2Plain, class2Coated, class5Plain, class5Tinned } });

/** IEC 60228:2004, Tables 2 and 3; from 16 mm² up from memory. */
export const CONDUCTORS: readonly Conductor[] = [
	conductor(0.5, [36.0, 36.7, 39.0, 40.1]),
	conductor(0.75, [24.5, 24.8, 26.0, 26.7]),
	conductor(1, [18.1, 18.2, 19.5, 20.0]),
	conductor(1.5, [12.1, 12.2, 13.3, 13.7]),
	conductor(2.5, [7.41, 7.56, 7.98, 8.21]),
	conductor(4, [4.61, 4.7, 4.95, 5.09]),
	conductor(6, [3.08, 3.11, 3.3, 3.39]),
	conductor(10, [1.83, 1.84, 1.91, 1.95]),
	conductor(16, [1.15, 1.16, 1.21, 1.24]),
	conductor(25, [0.727, 0.734, 0.78, 0.795]),
	conductor(35, [0.524, 0.529, 0.554, 0.565]),
];

/** Most resistance of a standard conductor at 20 °C, Ω/km; null for a size that is none. */
export function conductorOhmPerKm(mm2: number, build: ConductorBuild): number | null {
	return CONDUCTORS.find((candidate) => candidate.mm2 === mm2)?.ohmPerKm[build] ?? null;
}

/** Voltage lost in a two-wire run, there and back, V. `tempC` is the conductor's. Ohm's law. */
export function runDropVolts(ohmPerKm: number, oneWayM: number, amps: number, tempC = 20): number {
	return 2 * oneWayM * (ohmPerKm / 1000) * copperFactor(tempC) * amps;
}

/** A two-wire run and the share of its supply that it may lose. */
export interface Run {
	readonly amps: number;
	readonly oneWayM: number;
	readonly supplyVolts: number;
	/** 0.03 for what must not fail, 0.1 for the rest: ABYC E-11. */
	readonly dropShareMax: number;
	readonly build: ConductorBuild;
	/** Of the conductor; 20 °C when left out. */
	readonly tempC?: number;
}

/** Smallest standard conductor, mm², that loses no more than allowed; null when none does. */
export function smallestConductorMm2(run: Run): number | null {
	const { amps, oneWayM, supplyVolts, dropShareMax, build, tempC = 20 } = run;
	const volts = supplyVolts * dropShareMax;
	const fits = ({ ohmPerKm }: Conductor) =>
		runDropVolts(ohmPerKm[build], oneWayM, amps, tempC) <= volts;
	return CONDUCTORS.find(fits)?.mm2 ?? null;
}

/**
 * Least copper for a drop, circular mils: 10.75 I L/E. ABYC E-11.
 * @param roundTripFt there and back, feet
 */
export const abycCircularMils = (amps: number, roundTripFt: number, dropVolts: number): number =>
	(10.75 * amps * roundTripFt) / dropVolts;

export const roundTripFt = (oneWayM: number): number => (2 * oneWayM) / METRES_PER_FOOT;

export const circularMilsOfAwg = (awg: number): number => (awgDiameterM(awg) / MIL_M) ** 2;

export const mm2OfCircularMils = (circularMils: number): number =>
	roundAreaM2(MIL_M) * 1e6 * circularMils;

/** Gauges that are sold as boat cable, thinnest first; -3 is 4/0. Common practice, no source. */
export const AWG_SOLD: readonly number[] = [18, 16, 14, 12, 10, 8, 6, 4, 2, 1, 0, -1, -2, -3];

/** Thinnest gauge sold with at least that much copper; null when none has. */
export const awgOfCircularMils = (circularMils: number): number | null =>
	AWG_SOLD.find((awg) => circularMilsOfAwg(awg) >= circularMils) ?? null;
