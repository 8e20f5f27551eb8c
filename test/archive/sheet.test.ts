// Sheets as text: RFC 4180's quoting read back by a reader of its own, lines of JSON, and a table
// in which no cell is a formula.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type Cell, type Sheet, sheetLines } from "../../host/archive/sheet.ts";

/** What the properties draw from. */
const SEED = 20_261_126;

const sheet = (...rows: Cell[][]): Sheet => ({
	columns: [
		{ name: "tank", words: "tank", unit: null },
		{ name: "flowLph", words: "flow", unit: "L/h" },
	],
	rows,
});
const text = (of: Sheet, format: "csv" | "jsonl" | "table") => [...sheetLines(of, format)].join("");

/** A plain reader after RFC 4180, section 2. */
function readCsv(csv: string): string[][] {
	const rows: string[][] = [];
	let row: string[] = [];
	for (let at = 0; at < csv.length; ) {
		let cell = "";
		if (csv[at] === '"') {
			at += 1;
			for (;;) {
				if (csv[at] !== '"') cell += csv[at];
				else if (csv[at + 1] === '"') {
					cell += '"';
					at += 1;
				} else break;
				at += 1;
			}
			at += 1;
		} else {
			while (csv[at] !== "," && csv[at] !== "\r") {
				cell += csv[at];
				at += 1;
			}
		}
		row.push(cell);
		if (csv[at] === ",") at += 1;
		else {
			expect(csv.slice(at, at + 2)).toBe("\r\n");
			at += 2;
			rows.push(row);
			row = [];
		}
	}
	return rows;
}

describe("csv", () => {
	it("gives any text back to a reader of RFC 4180", () => {
		fc.assert(
			fc.property(
				fc.string({ unit: fc.constantFrom("a", ",", '"', "\r", "\n", " ", "=") }),
				(tank) => {
					expect(readCsv(text(sheet([tank, 1.5]), "csv"))).toEqual([
						["tank", "flowLph"],
						[tank, "1.5"],
					]);
				},
			),
			{ seed: SEED },
		);
	});

	it("has a point in every number and nothing where nothing is known", () => {
		expect(text(sheet(["a", 1 / 3], ["b", null]), "csv")).toBe(
			"tank,flowLph\r\na,0.3333333333\r\nb,\r\n",
		);
	});
});

describe("json lines", () => {
	it("are one object a line", () => {
		const lines = text(sheet(["a\nb", 2], [null, null]), "jsonl")
			.trimEnd()
			.split("\n");
		expect(lines.map((line) => JSON.parse(line))).toEqual([
			{ tank: "a\nb", flowLph: 2 },
			{ tank: null, flowLph: null },
		]);
	});
});

describe("a table", () => {
	it("has units in its head", () => {
		expect(text(sheet(), "table")).toBe("tank\tflow (L/h)\n");
	});

	it.each(["=1+1", "+1", "-1", "@a", " =a", "\t=a", "\n@a"])("a text %j is no formula", (tank) => {
		const cell = text(sheet([tank, -2]), "table")
			.split("\n")[1]
			?.split("\t");
		expect(cell?.[0]).toMatch(/^'/);
		expect(cell?.[1]).toBe("-2");
		expect(cell).toHaveLength(2);
	});
});
