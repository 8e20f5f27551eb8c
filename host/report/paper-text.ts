// A document as text for a terminal of 100 columns; pictures are told in words. Words wrap at
// blanks; what would steer the terminal is a question mark. Imports the terminal's line breaks.

import type { Block, Paper, Table } from "./blocks.ts";
import { harmless } from "./cell-width.ts";
import { wrapped } from "./terminal-table.ts";

const COLUMNS = 100;
const GAP = 2;

export const paperText = ({ blocks }: Paper): string => blocks.map(blockText).join("\n");

function blockText(block: Block): string {
	switch (block.kind) {
		case "title":
			return harmless(block.text);
		case "heading":
			return `\n${harmless(block.text)}`;
		case "words":
			return wrapped(harmless(block.text), COLUMNS, block.tone === "mark" ? "! " : "");
		case "table":
			return tableText(block);
		case "picture":
			return wrapped(harmless(block.description), COLUMNS);
	}
}

function tableText({ columns, rows }: Table): string {
	const heads = columns.map(({ head }) => head);
	const all = [heads, ...rows].map((row) => row.map(harmless));
	const widths = fitted(
		heads.map((_, i) => wantOf(all.map((row) => row[i] ?? ""))),
		COLUMNS - GAP * (heads.length - 1),
	);
	const line = (row: readonly string[]) => {
		const cells = row.map((cell, i) => brokenLines(cell, widths[i] ?? 1));
		const height = Math.max(...cells.map(({ length }) => length));
		return Array.from({ length: height }, (_, n) =>
			cells
				.map((lines, i) => {
					const [cell, width] = [lines[n] ?? "", widths[i] ?? 1];
					return columns[i]?.isNumber === true ? cell.padStart(width) : cell.padEnd(width);
				})
				.join(" ".repeat(GAP))
				.trimEnd(),
		).join("\n");
	};
	const [head = [], ...body] = all;
	const rule = widths.map((width) => "-".repeat(width)).join(" ".repeat(GAP));
	return [line(head), rule, ...body.map(line)].join("\n");
}

/** At least the longest word, and at most all in a line. */
function wantOf(cells: readonly string[]): { least: number; most: number } {
	const words = cells.flatMap((cell) => cell.split(" "));
	return {
		least: Math.max(1, ...words.map(({ length }) => length)),
		most: Math.max(1, ...cells.map(({ length }) => length)),
	};
}

/** The widest give way, a letter at a time: first what can wrap, then words are broken. */
function fitted(wants: ReadonlyArray<{ least: number; most: number }>, room: number): number[] {
	const widths = wants.map(({ most }) => most);
	let excess = widths.reduce((sum, width) => sum + width, 0) - room;
	for (; excess > 0; excess -= 1) {
		const spare = widths.map((width, i) => (width > (wants[i]?.least ?? 0) ? width : 0));
		const most = Math.max(...spare);
		const widest = most > 0 ? spare.indexOf(most) : widths.indexOf(Math.max(...widths));
		widths[widest] = Math.max(1, (widths[widest] ?? 1) - 1);
	}
	return widths;
}

function brokenLines(text: string, width: number): string[] {
	const lines: string[] = [];
	let line = "";
	for (const word of text.split(" ")) {
		const longer = line === "" ? word : `${line} ${word}`;
		if (longer.length <= width) {
			line = longer;
			continue;
		}
		if (line !== "") lines.push(line);
		let rest = word;
		for (; rest.length > width; rest = rest.slice(width)) lines.push(rest.slice(0, width));
		line = rest;
	}
	return [...lines, line];
}
