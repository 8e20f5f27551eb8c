// Rows of published and independently computed values, each with its source. They are read from
// reference.json beside this file and never written by hand.

import * as z from "zod";
import { readRows } from "./read-rows.ts";

export const rows = readRows(new URL("reference.json", import.meta.url));

/** The row of that id; numbers of a key as a list. @throws when either is missing */
export function row(id: string): {
	source: string;
	input: (key: string) => number[];
	expected: (key: string) => number[];
} {
	const found = rows.find((candidate) => candidate.id === id);
	if (found === undefined) throw new Error(`no reference row ${id}`);
	const numbers = z.union([z.number().transform((value) => [value]), z.array(z.number())]);
	return {
		source: found.source,
		input: (key) => numbers.parse(found.inputs[key]),
		expected: (key) => numbers.parse(found.expected[key]),
	};
}
