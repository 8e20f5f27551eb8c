// How wide the columns of a printed table are: each as wide as its words want where all of them
// fit, else at least as wide as its longest word and the rest by what they want more, as HTML's
// automatic layout does (CSS 2.1, 17.5.2.2). Imports types alone.

import type { Table } from "../blocks.ts";

/** @param measure width of a text, in the head's type or the body's */
export function columnWidths(
	{ columns, rows }: Table,
	room: number,
	padding: number,
	measure: (text: string, isHead: boolean) => number,
): number[] {
	const wants = columns.map(({ head }, i) => {
		const cells = rows.map((row) => row[i] ?? "");
		const longest = (text: string, isHead: boolean) =>
			text.split(" ").reduce((widest, word) => Math.max(widest, measure(word, isHead)), 0);
		const least = Math.max(longest(head, true), ...cells.map((cell) => longest(cell, false)));
		const most = Math.max(measure(head, true), ...cells.map((cell) => measure(cell, false)));
		return { least: least + padding, most: most + padding };
	});
	const least = sum(wants.map((want) => want.least));
	const most = sum(wants.map((want) => want.most));
	if (most <= room) return wants.map((want) => (want.most * room) / most);
	if (least >= room) return wants.map((want) => (want.least * room) / least);
	const share = (room - least) / (most - least);
	return wants.map((want) => want.least + share * (want.most - want.least));
}

const sum = (values: readonly number[]): number => values.reduce((all, value) => all + value, 0);
