// Student's t for coverage factors. Imports nothing. The distribution is the regularised incomplete
// beta function (Abramowitz and Stegun 26.7.1, 26.5.8), its logarithm of gamma after Lanczos.

/** Degrees of freedom that count as without end: t is then 2e-6 from the normal's quantile. */
const DEGREES_MAX = 1e6;
const HALVINGS = 100;

/**
 * Number of standard deviations on each side of the mean that hold a share of the values.
 * @param degreesOfFreedom above 0, whole or not, infinity too
 * @param level above 0 and below 1; good to 1e-9 relative up to 0.9999
 */
export function studentFactor(degreesOfFreedom: number, level: number): number {
	const degrees = Math.min(DEGREES_MAX, degreesOfFreedom);
	const outside = 1 - level;
	let high = 1;
	while (shareOutside(high, degrees) > outside) high *= 2;
	let low = 0;
	for (let i = 0; i < HALVINGS && high - low > Number.EPSILON * high; i += 1) {
		const middle = (low + high) / 2;
		if (shareOutside(middle, degrees) > outside) low = middle;
		else high = middle;
	}
	return (low + high) / 2;
}

/** Share of Student's distribution beyond ±t. */
function shareOutside(t: number, degrees: number): number {
	const square = t * t;
	return incompleteBeta(
		degrees / (degrees + square),
		square / (degrees + square),
		degrees / 2,
		0.5,
	);
}

/** I_x(a, b); `rest` is 1 - x, given apart so that it keeps its digits near x = 1. */
function incompleteBeta(x: number, rest: number, a: number, b: number): number {
	if (x <= 0) return 0;
	if (rest <= 0) return 1;
	const logFront =
		a * Math.log(x) + b * Math.log(rest) + logGamma(a + b) - logGamma(a) - logGamma(b);
	const front = Math.exp(logFront);
	// The fraction settles fast only on this side of the mean; beyond it the mirror image does.
	if (x < (a + 1) / (a + b + 2)) return (front * betaFraction(x, a, b)) / a;
	return 1 - (front * betaFraction(rest, b, a)) / b;
}

/** Continued fraction 26.5.8 by the modified method of Lentz. */
function betaFraction(x: number, a: number, b: number): number {
	const tiny = 1e-300;
	const away = (value: number) => (Math.abs(value) < tiny ? tiny : value);
	let upper = 1;
	let lower = 1 / away(1 - ((a + b) * x) / (a + 1));
	let fraction = lower;
	for (let m = 1; m < 1_000; m += 1) {
		const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m));
		lower = 1 / away(1 + even * lower);
		upper = away(1 + even / upper);
		fraction *= lower * upper;
		const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
		lower = 1 / away(1 + odd * lower);
		upper = away(1 + odd / upper);
		const step = lower * upper;
		fraction *= step;
		if (Math.abs(step - 1) < 1e-15) break;
	}
	return fraction;
}

/** Coefficients of Lanczos's series for g = 7, nine terms; relative error under 1e-14. */
const LANCZOS: readonly number[] = [
	676.5203681218851, -1259.1392167224028, 771.32342877765313, -176.61502916214059,
	12.507343278686905, -0.13857109526572012, 9.9843695780195716e-6, 1.5056327351493116e-7,
];

/** Natural logarithm of gamma for an argument above 0. */
function logGamma(z: number): number {
	if (z < 0.5) return logGamma(z + 1) - Math.log(z);
	const before = z - 1;
	const series = LANCZOS.reduce(
		(sum, coefficient, i) => sum + coefficient / (before + i + 1),
		0.99999999999980993,
	);
	const t = before + 7.5;
	return 0.5 * Math.log(2 * Math.PI) + (before + 0.5) * Math.log(t) - t + Math.log(series);
}
