// A phrase of the firmware's tables as a sentence of a page: they are worded for the middle of a
// line. Pure.

/** With a capital and a full stop. */
export function sentence(text: string): string {
	const first = text.charAt(0).toUpperCase() + text.slice(1);
	return /[.?!]$/.test(first) ? first : `${first}.`;
}
