// What few events in many hours allow to say of their rate, and quantiles of what was measured.
// Imports nothing.

/**
 * Upper bound of the mean of a Poisson count, exact: the mean at which so few events or fewer come
 * with what is left of the confidence. Equal to half the chi-square quantile of 2 (n + 1) degrees
 * of freedom (Garwood 1936, Biometrika 28, 437-442).
 */
export function poissonUpper(events: number, confidence = 0.95): number {
	let low = 0;
	let high = 10 + 10 * (events + 1);
	for (let pass = 0; pass < 100; pass += 1) {
		const mean = (low + high) / 2;
		if (atMost(events, mean) > 1 - confidence) low = mean;
		else high = mean;
	}
	return high;
}

/** Probability of so many events or fewer. */
function atMost(events: number, mean: number): number {
	let term = Math.exp(-mean);
	let sum = term;
	for (let k = 1; k <= events; k += 1) {
		term *= mean / k;
		sum += term;
	}
	return sum;
}

/** The value under which that share of the values lies, between neighbours by a straight line. */
export function quantile(values: readonly number[], share: number): number {
	const sorted = [...values].sort((a, b) => a - b);
	const place = share * (sorted.length - 1);
	const [low, high] = [sorted[Math.floor(place)] ?? 0, sorted[Math.ceil(place)] ?? 0];
	// Two that never came are infinite both: their difference is no number.
	return low === high ? low : low + (high - low) * (place - Math.floor(place));
}
