// The standard atmosphere below 11 km and what it leaves a suction line: greatest lift and net
// positive suction head. Imports nothing. ISO 2533:1975, troposphere, which is the U.S. Standard
// Atmosphere 1976 there; suction head after ISO 9906.

/** Standard acceleration of free fall, m/s² (ISO 80000-3). */
export const STANDARD_GRAVITY_MS2 = 9.80665;

export const SEA_LEVEL_PA = 101_325;

const SEA_LEVEL_K = 288.15;
const LAPSE_K_PER_M = 0.0065;
/** Molar mass of dry air, kg/mol, and the gas constant that ISO 2533 reckons with, J/(mol K). */
const AIR_KG_PER_MOL = 0.0289644;
const GAS_J_PER_MOL_K = 8.31432;
/** Nominal radius of the earth, m (ISO 2533). */
const EARTH_M = 6_356_766;

const EXPONENT = (STANDARD_GRAVITY_MS2 * AIR_KG_PER_MOL) / (GAS_J_PER_MOL_K * LAPSE_K_PER_M);

/** Geopotential altitude, m, of a true height above the sea: r z/(r + z). */
export function geopotentialM(altitudeM: number): number {
	return (EARTH_M * altitudeM) / (EARTH_M + altitudeM);
}

/** Temperature, K, at a geopotential altitude of -2000 to 11 000 m: 6.5 K less for each km. */
export function temperatureK(geopotentialM: number): number {
	return SEA_LEVEL_K - LAPSE_K_PER_M * geopotentialM;
}

/** Pressure, Pa, at a geopotential altitude of -2000 to 11 000 m. */
export function pressureAtGeopotentialPa(geopotentialM: number): number {
	return SEA_LEVEL_PA * (temperatureK(geopotentialM) / SEA_LEVEL_K) ** EXPONENT;
}

/** Pressure, Pa, at a true height above the sea (geometric altitude), -2000 to 11 000 m. */
export function pressureAtAltitudePa(altitudeM: number): number {
	return pressureAtGeopotentialPa(geopotentialM(altitudeM));
}

/**
 * Greatest height, m, that the atmosphere can push a liquid at rest: (p - p_v)/(rho g). A real lift
 * ends sooner: air comes out of solution, and a pump draws no full vacuum.
 */
export function suctionLiftLimitM(
	atmospherePa: number,
	vapourPa: number,
	densityKgM3: number,
	gravityMs2: number = STANDARD_GRAVITY_MS2,
): number {
	return (atmospherePa - vapourPa) / (densityKgM3 * gravityMs2);
}

/**
 * Net positive suction head available, m: what stands on the liquid, less vapour pressure, less
 * lift, less friction (ISO 9906; tank above the pump: a negative lift).
 * @param surfacePa absolute pressure on the liquid in the tank
 */
export function netPositiveSuctionHeadM(
	surfacePa: number,
	vapourPa: number,
	densityKgM3: number,
	liftM: number,
	frictionPa: number,
	gravityMs2: number = STANDARD_GRAVITY_MS2,
): number {
	const weight = densityKgM3 * gravityMs2;
	return (surfacePa - vapourPa - frictionPa) / weight - liftM;
}
