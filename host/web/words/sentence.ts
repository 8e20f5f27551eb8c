// A phrase of a table as a sentence of a page. Pure.

/** With a capital and a full stop. */
export function sentence(text: string): string {
	const first = text.charAt(0).toUpperCase() + text.slice(1);
	return /[.?!]$/.test(first) ? first : `${first}.`;
}
