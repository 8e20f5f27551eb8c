// Temperature from a thermistor's resistance. Imports nothing. Sources: Steinhart and Hart (1968),
// the beta equation as in IEC 60539-1, Ohm's law for the divider. Temperatures in °C outside,
// kelvin inside.

const KELVIN_AT_0_C = 273.15;

/** A resistance measured at a temperature. */
export interface ThermistorPoint {
	readonly ohm: number;
	readonly tempC: number;
}

/** Coefficients of 1/T = a + b ln R + c (ln R)³, T in kelvin, R in Ω. */
export interface SteinhartHart {
	readonly a: number;
	readonly b: number;
	readonly c: number;
}

/** The curve through three points of different resistance: divided differences in ln R, solved. */
export function steinhartHart(
	one: ThermistorPoint,
	two: ThermistorPoint,
	three: ThermistorPoint,
): SteinhartHart {
	const [x1, x2, x3] = [Math.log(one.ohm), Math.log(two.ohm), Math.log(three.ohm)];
	const [y1, y2, y3] = [perKelvin(one), perKelvin(two), perKelvin(three)];
	const slope2 = (y2 - y1) / (x2 - x1);
	const slope3 = (y3 - y1) / (x3 - x1);
	const c = (slope3 - slope2) / ((x3 - x2) * (x1 + x2 + x3));
	const b = slope2 - c * (x1 * x1 + x1 * x2 + x2 * x2);
	return { a: y1 - x1 * (b + c * x1 * x1), b, c };
}

const perKelvin = ({ tempC }: ThermistorPoint): number => 1 / (tempC + KELVIN_AT_0_C);

/** Temperature, °C; within 0.01 K of a good thermistor over 50 K around the points. */
export function steinhartHartC({ a, b, c }: SteinhartHart, ohm: number): number {
	const log = Math.log(ohm);
	return 1 / (a + b * log + c * log ** 3) - KELVIN_AT_0_C;
}

/**
 * Temperature, °C, by one point and the beta value in kelvin. Good to about 1 K within 25 K of the
 * point (common practice, no source).
 */
export function betaC(point: ThermistorPoint, betaK: number, ohm: number): number {
	return 1 / (perKelvin(point) + Math.log(ohm / point.ohm) / betaK) - KELVIN_AT_0_C;
}

/**
 * Resistance to ground, Ω, of the lower part of a divider fed by the converter's own reference.
 * @param share of the reference, 0 (short) up to 1 (open, infinite resistance)
 */
export const lowerOhm = (share: number, seriesOhm: number): number =>
	share >= 1 ? Number.POSITIVE_INFINITY : (seriesOhm * share) / (1 - share);
