// Tables on a terminal, at most 100 columns wide: cells wrap at blanks where a column is full, and
// a word that is longer than its column is broken. Imports cli-table3 and the account's line
// breaks.

import Table from "cli-table3";
import { wrap } from "./account.ts";

export { plusMinus } from "./plus-minus.ts";

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
	for (const row of rows) {
		table.push(row.map((cell, i) => broken(String(cell), widths?.[i] ?? Number.POSITIVE_INFINITY)));
	}
	return table.toString();
}

/** The table would end a long word with three dots, and an id is wanted whole. */
function broken(text: string, width: number): string {
	const room = width - 2;
	if (!Number.isFinite(room)) return text;
	return text.replaceAll(new RegExp(`\\S{${room}}(?=\\S)`, "gu"), "$&\n");
}

/** Words in lines of at most so many columns, `start` before the first, `indent` before others. */
export function wrapped(text: string, columns: number, start = "", indent = ""): string {
	const room = columns - Math.max(start.length, indent.length);
	return wrap(text, room)
		.map((line, i) => `${i === 0 ? start : indent}${line}`)
		.join("\n");
}
