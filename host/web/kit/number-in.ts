// What a reader typed as a number: with a comma or a point, with spaces. Anything else is none.
// Pure.

/** @returns null where it is none */
export function numberIn(text: string): number | null {
	const bare = text.replaceAll(/[\s\u00a0\u202f]/g, "").replace(",", ".");
	return /^-?(\d+\.?\d*|\.\d+)$/.test(bare) ? Number(bare) : null;
}
