// How many columns a text takes on a terminal, and a text cut to so many. What came over a line may
// hold anything: control characters would move the cursor, so they are shown as a question mark.
// Imports nothing.

/** From here on a character may take two columns (Hangul Jamo, then East Asian and pictures). */
const WIDE_FROM = 0x1100;

const MARK = "...";
const MARK_COLUMNS = MARK.length;

/** Never less than a terminal takes: an ambiguous one counts as two. */
const columnsOf = (character: string): number =>
	(character.codePointAt(0) ?? 0) >= WIDE_FROM ? 2 : 1;

/** Without what a terminal would obey: C0 and C1 controls, and marks that turn the direction. */
export function harmless(text: string): string {
	return text.replace(/[\p{Cc}\p{Cf}\u2028\u2029]/gu, "?");
}

/** Cut to `columns`; a cut shows as three dots. */
export function fitted(text: string, columns: number): string {
	let taken = 0;
	let kept = "";
	for (const character of text) {
		const wide = columnsOf(character);
		if (taken + wide > columns) return cut(kept, columns);
		kept += character;
		taken += wide;
	}
	return kept;
}

/** The last character makes room for the mark, if the mark did not fit. */
function cut(kept: string, columns: number): string {
	if (columns < MARK_COLUMNS) return kept;
	const characters = [...kept];
	while (characters.reduce((sum, one) => sum + columnsOf(one), 0) > columns - MARK_COLUMNS) {
		characters.pop();
	}
	return `${characters.join("")}${MARK}`;
}
