// Tables on a terminal, at most 100 columns wide: cells wrap at blanks where a column is full.
// Numbers beside what they may be off. Imports cli-table3.

import Table from "cli-table3";

/** @param widths of the columns with a blank on each side; their sum and borders stay within 100 */
export function terminalTable(
	head: readonly string[],
	rows: ReadonlyArray<ReadonlyArray<string | number>>,
	widths?: readonly number[],
): string {
	const table = new Table({
		head: [...head],
		style: { head: [], border: [] },
		...(widths === undefined ? {} : { colWidths: [...widths], wordWrap: true }),
	});
	for (const row of rows) table.push([...row]);
	return table.toString();
}

/** As `45.0 ± 2.6`: two digits of what it may be off, and as many of the value. */
export function plusMinus(value: number, uncertainty: number): string {
	if (!(uncertainty > 0)) return value.toFixed(2);
	const digits = Math.max(0, Math.min(4, 1 - Math.floor(Math.log10(uncertainty))));
	return `${value.toFixed(digits)} ± ${uncertainty.toFixed(digits)}`;
}

/** Words in lines of at most so many columns, the later ones indented. */
export function wrapped(text: string, columns: number, indent = ""): string {
	const lines: string[] = [];
	const [first = "", ...words] = text.split(" ");
	let line = first;
	for (const word of words) {
		const joined = `${line} ${word}`;
		if (joined.length > columns && line.trim() !== "") {
			lines.push(line);
			line = `${indent}${word}`;
		} else line = joined;
	}
	return [...lines, line].join("\n");
}
