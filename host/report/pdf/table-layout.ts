// How wide the columns of a printed table are: each as wide as its words want where all of them
// fit; else the widest give way first, and none below its longest word. Imports types alone.

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
	// The widest give way down to one width, and none below its longest word.
	const fitted = (cap: number) =>
		wants.map((want) => Math.max(want.least, Math.min(want.most, cap)));
	let [low, high] = [0, room];
	for (let i = 0; i < HALVINGS; i += 1) {
		const cap = (low + high) / 2;
		if (sum(fitted(cap)) > room) high = cap;
		else low = cap;
	}
	return fitted(low);
}

/** To less than a thousandth of a point. */
const HALVINGS = 24;

const sum = (values: readonly number[]): number => values.reduce((all, value) => all + value, 0);
