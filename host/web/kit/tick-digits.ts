// Digits that the numbers at a chart's axis need, so that no two of them read the same. Pure.
// What the axis counts by is uPlot's: 1, 2, 2.5 or 5 times a power of ten.

const DIGITS_MAX = 6;

/** @param step from one tick to the next */
export function digitsOf(step: number): number {
	for (let digits = 0; digits < DIGITS_MAX; digits += 1) {
		const scaled = step * 10 ** digits;
		if (Math.abs(scaled - Math.round(scaled)) < 1e-6) return digits;
	}
	return DIGITS_MAX;
}
