// A sheet of rows as text: CSV for programs (RFC 4180), JSON Lines, or a table for a spreadsheet.
// Rows are taken one by one, so that a year of samples needs no memory. Pure; imports nothing.

export type Cell = string | number | boolean | null;

export interface Column {
	/** With its unit last, as `flowLph`. */
	readonly name: string;
	/** In words for a spreadsheet's head, as `flow`. */
	readonly words: string;
	/** As `L/h`; null for a text or a plain number. */
	readonly unit: string | null;
	/** Its cells are JSON already: text in a sheet, a value of its own in a line of JSON. */
	readonly isJson?: boolean;
}

export interface Sheet {
	readonly columns: readonly Column[];
	readonly rows: Iterable<readonly Cell[]>;
}

export const sheetFormats = ["csv", "jsonl", "table"] as const;
export type SheetFormat = (typeof sheetFormats)[number];

/** Lines with their ends, the head first. */
export function* sheetLines({ columns, rows }: Sheet, format: SheetFormat): Generator<string> {
	const names = columns.map(({ name }) => name);
	if (format === "csv") {
		yield csvLine(names);
		for (const row of rows) yield csvLine(row);
	} else if (format === "jsonl") {
		const jsonOf = (cell: Cell, i: number) =>
			columns[i]?.isJson === true && cell !== null ? JSON.parse(String(cell)) : cell;
		for (const row of rows) {
			const cells = names.map((name, i) => [name, jsonOf(row[i] ?? null, i)]);
			yield `${JSON.stringify(Object.fromEntries(cells))}\n`;
		}
	} else {
		yield tableLine(
			columns.map(({ words, unit }) => (unit === null ? words : `${words} (${unit})`)),
		);
		for (const row of rows) yield tableLine(row);
	}
}

/** RFC 4180: lines end with CR LF; a cell with a comma, a quote or a line end stands in quotes. */
const csvLine = (row: readonly Cell[]): string =>
	`${row.map((cell) => csvCell(plain(cell))).join(",")}\r\n`;

const csvCell = (text: string): string =>
	/[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;

/** Cells between tabs. A text that a spreadsheet would take for a formula is marked as a text. */
const tableLine = (row: readonly Cell[]): string =>
	`${row.map((cell) => (typeof cell === "string" ? guarded(cell) : plain(cell))).join("\t")}\n`;

function guarded(text: string): string {
	const flat = text.replaceAll(/[\t\r\n]+/g, " ");
	return /^\s*[=+\-@]/.test(flat) ? `'${flat}` : flat;
}

/** Ten digits of a fraction are more than anything here is worth. */
function plain(cell: Cell): string {
	if (typeof cell !== "number") return cell === null ? "" : String(cell);
	return String(Number.isInteger(cell) ? cell : Number(cell.toPrecision(10)));
}
