// The standard normal distribution. Imports nothing. Sources: the series of Marsaglia (2004) for
// the middle, Laplace's continued fraction for the tails (Abramowitz and Stegun 26.2.14).

/** From here on the tail's fraction is the better one, standard deviations. */
const TAIL_FROM = 3;
const FRACTION_TERMS = 120;

export const normalDensity = (z: number): number => Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI);

/** Share of the values below z, to 1e-12 of itself for every z that a double can tell from 0. */
export function normalShare(z: number): number {
	if (z < -TAIL_FROM) return tailShare(-z);
	if (z > TAIL_FROM) return 1 - tailShare(z);
	let term = z;
	let sum = z;
	for (let odd = 3; Math.abs(term) > 1e-18; odd += 2) {
		term *= (z * z) / odd;
		sum += term;
	}
	return 0.5 + normalDensity(z) * sum;
}

/** Share above z, for a z well above 0. */
function tailShare(z: number): number {
	let fraction = z;
	for (let term = FRACTION_TERMS; term > 0; term -= 1) fraction = z + term / fraction;
	return normalDensity(z) / fraction;
}
