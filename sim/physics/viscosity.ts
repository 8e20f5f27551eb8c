// Kinematic viscosity of fuel by temperature after ASTM D341: log log of it is straight over the
// log of the absolute temperature. Imports nothing. Viscosities in mm²/s. ASTM D341-20, equations
// 2 and 3; the simple form drops the exponential, which is under 0.0008 of the sum from 2 mm²/s
// up.

export interface ViscosityLine {
	readonly a: number;
	/** Steepness; about 3.5 to 4 for diesel (common practice, no source). */
	readonly b: number;
	/** What makes °C absolute: 273.15; older sheets reckon with 273. */
	readonly kelvinOffset: number;
}

const KELVIN = 273.15;

/** Steepness of the check fluid of the reference rows, an invented mid-range diesel. */
export const DIESEL_STEEPNESS = 3.9594;

/** Line through two points, simple form: log10 log10(nu + 0.7) = A - B log10 T. */
export function viscosityLine(
	celsius1: number,
	mm2s1: number,
	celsius2: number,
	mm2s2: number,
	kelvinOffset: number = KELVIN,
): ViscosityLine {
	const x1 = Math.log10(celsius1 + kelvinOffset);
	const x2 = Math.log10(celsius2 + kelvinOffset);
	const y1 = doubleLog(mm2s1);
	const b = (y1 - doubleLog(mm2s2)) / (x2 - x1);
	return { a: y1 + b * x1, b, kelvinOffset };
}

/** Line through one point, with a steepness that is typical of diesel unless told. */
export function viscosityLineThrough(
	celsius: number,
	mm2s: number,
	steepness: number = DIESEL_STEEPNESS,
): ViscosityLine {
	const a = doubleLog(mm2s) + steepness * Math.log10(celsius + KELVIN);
	return { a, b: steepness, kelvinOffset: KELVIN };
}

/** Viscosity on a line, mm²/s. Below the cloud point fuel holds wax and follows no such line. */
export function viscosityMm2s(line: ViscosityLine, celsius: number): number {
	const y = line.a - line.b * Math.log10(celsius + line.kelvinOffset);
	return 10 ** (10 ** y) - 0.7;
}

function doubleLog(mm2s: number): number {
	return Math.log10(Math.log10(mm2s + 0.7));
}

/** Z of the full form, for 0.21 mm²/s and up (equation 2). */
export function fullZ(mm2s: number): number {
	return mm2s + 0.7 + Math.exp(-1.47 - 1.84 * mm2s - 0.51 * mm2s * mm2s);
}

/** Its inverse by the standard's own formula (equation 3), within 0.0003 mm²/s from 0.5 up. */
export function fromFullZ(z: number): number {
	const x = z - 0.7;
	return x - Math.exp(-0.7487 - 3.295 * x + 0.6119 * x * x - 0.3193 * x * x * x);
}
