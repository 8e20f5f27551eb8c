// A number beside what it may be off, with as many digits as that is worth: for terminal, page and
// paper. Imports nothing.

/**
 * As `45.0 ± 2.6`: two digits of what it may be off, and as many of the value.
 * @param digitsMax behind the point, where what is less is rounded up
 */
export function plusMinus(value: number, uncertainty: number, digitsMax = 4): string {
	if (!(uncertainty > 0)) return value.toFixed(2);
	const digits = Math.max(0, Math.min(digitsMax, 1 - Math.floor(Math.log10(uncertainty))));
	return `${value.toFixed(digits)} ± ${Math.max(uncertainty, 10 ** -digits).toFixed(digits)}`;
}
