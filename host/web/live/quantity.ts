// A quantity as the link gives it, a number or the word that says why there is none, as text.
// Pure.

import { words } from "../words/words.ts";

/**
 * @param nothing where there is neither number nor word
 * @param text what is made of a number
 */
export function quantityText(
	value: number | string,
	nothing: string,
	text: (value: number) => string = String,
): string {
	if (typeof value === "number") return text(value);
	if (value === "") return nothing;
	const { unknowns, noWord } = words().rig;
	return unknowns[value] ?? noWord;
}
