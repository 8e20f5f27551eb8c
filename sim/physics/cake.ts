// A filter that clogs by a cake: pressure against volume, time against volume, and the two
// constants of a test. Imports nothing. Ruth's equation in the forms of Geankoplis, Transport
// Processes and Unit Operations, section 14.2, and Coulson and Richardson, volume 2, chapter 7. The
// cake is taken as incompressible.

/** A medium and the cake that a liquid lays on it. */
export interface Cake {
	/** Specific resistance of the cake, m/kg. */
	readonly alphaMKg: number;
	/** Resistance of the clean medium, 1/m. */
	readonly mediumPerM: number;
	/** Mass of cake that each m³ of filtrate leaves, kg/m³. */
	readonly solidsKgM3: number;
	readonly areaM2: number;
}

/** Constants of a run at constant pressure: t = Kp/2 V² + B V. */
export interface RuthConstants {
	/** s/m⁶ */
	readonly kp: number;
	/** s/m³ */
	readonly b: number;
}

/** Resistance of medium and cake together, 1/m, after a volume of filtrate. */
export function resistancePerM(cake: Cake, volumeM3: number): number {
	return cake.mediumPerM + (cake.alphaMKg * cake.solidsKgM3 * volumeM3) / cake.areaM2;
}

/** Drop at a flow after a volume of filtrate, Pa: mu (Q/A)(Rm + alpha c V/A). */
export function constantRatePa(
	cake: Cake,
	dynamicPas: number,
	flowM3s: number,
	volumeM3: number,
): number {
	return ((dynamicPas * flowM3s) / cake.areaM2) * resistancePerM(cake, volumeM3);
}

/** Rise of that drop with volume, Pa/m³. */
export function constantRateSlopePaM3(cake: Cake, dynamicPas: number, flowM3s: number): number {
	return (dynamicPas * flowM3s * cake.alphaMKg * cake.solidsKgM3) / cake.areaM2 ** 2;
}

/** Drop of the same filter, flow and load in liquid of another viscosity (Darcy). */
export function dropAtViscosityPa(dropPa: number, dynamicPas: number, otherPas: number): number {
	return (dropPa * otherPas) / dynamicPas;
}

/** Kp = mu alpha c/(A² dP) and B = mu Rm/(A dP). */
export function ruthConstants(cake: Cake, dynamicPas: number, dropPa: number): RuthConstants {
	const { alphaMKg, mediumPerM, solidsKgM3, areaM2 } = cake;
	const kp = (dynamicPas * alphaMKg * solidsKgM3) / (areaM2 ** 2 * dropPa);
	return { kp, b: (dynamicPas * mediumPerM) / (areaM2 * dropPa) };
}

/** The cake behind the constants of a test: the inverse of `ruthConstants`. */
export function cakeFromConstants(
	constants: RuthConstants,
	areaM2: number,
	dropPa: number,
	dynamicPas: number,
	solidsKgM3: number,
): Cake {
	const alphaMKg = (constants.kp * areaM2 ** 2 * dropPa) / (dynamicPas * solidsKgM3);
	const mediumPerM = (constants.b * areaM2 * dropPa) / dynamicPas;
	return { alphaMKg, mediumPerM, solidsKgM3, areaM2 };
}

/** Time for a volume at constant pressure, s: Kp/2 V² + B V. */
export function constantPressureS(constants: RuthConstants, volumeM3: number): number {
	return (constants.kp / 2) * volumeM3 ** 2 + constants.b * volumeM3;
}

/**
 * Constants of a test by least squares of t/V against V: slope Kp/2, intercept B.
 * @param timeS since the start, one for each volume
 * @param volumeM3 all above 0, at least two different; otherwise both are NaN
 */
export function fitConstants(timeS: readonly number[], volumeM3: readonly number[]): RuthConstants {
	const n = volumeM3.length;
	const perVolume = volumeM3.map((volume, i) => (timeS[i] ?? Number.NaN) / volume);
	const meanV = volumeM3.reduce((sum, v) => sum + v, 0) / n;
	const meanT = perVolume.reduce((sum, t) => sum + t, 0) / n;
	let squares = 0;
	let products = 0;
	volumeM3.forEach((volume, i) => {
		squares += (volume - meanV) ** 2;
		products += (volume - meanV) * ((perVolume[i] ?? Number.NaN) - meanT);
	});
	const slope = products / squares;
	return { kp: 2 * slope, b: meanT - slope * meanV };
}

/** The same cake on another area at the same pressure: Kp goes with 1/A², B with 1/A. */
export function scaledConstants(
	constants: RuthConstants,
	fromAreaM2: number,
	toAreaM2: number,
): RuthConstants {
	const ratio = fromAreaM2 / toAreaM2;
	return { kp: constants.kp * ratio ** 2, b: constants.b * ratio };
}

/**
 * Time of a run at constant rate, then at the pressure reached, s; no resistance of the medium.
 * From dt/dV = 2 t1 V/V1² afterwards: t = t1 + t1 (1/f² - 1)/2.
 * @param rateS time at constant rate
 * @param share share of the filtrate that came in it, above 0 and up to 1
 */
export function rateThenPressureS(rateS: number, share: number): number {
	return rateS + (rateS * (1 / share ** 2 - 1)) / 2;
}
