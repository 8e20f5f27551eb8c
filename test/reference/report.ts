// `npm run reference -- FILE.json`: every check of a file of rows in columns, then what nothing
// answers, then the count. Exit 0 when all hold, 1 when one fails, 2 for a file that is no use.
// Imports the table of adapters; writes to the terminal.

import { resolve } from "node:path";
import { adapters } from "./adapters.ts";
import { Answerer, type Check } from "./answer.ts";
import { BadRows, type Row, readRows } from "./read-rows.ts";
import { describeTolerance } from "./tolerance.ts";

const EXIT = { held: 0, failed: 1, badFile: 2 } as const;

function columns(lines: readonly (readonly string[])[]): string {
	const widths = (lines[0] ?? []).map((_, i) =>
		Math.max(...lines.map((line) => (line[i] ?? "").length)),
	);
	return lines
		.map((line) =>
			line
				.map((cell, i) => cell.padEnd(widths[i] ?? 0))
				.join("  ")
				.trimEnd(),
		)
		.join("\n");
}

function shown(value: unknown): string {
	if (typeof value === "number") return String(Number(value.toPrecision(9)));
	return JSON.stringify(value) ?? String(value);
}

function verdict({ held, fromMemory }: Check): string {
	if (held) return "held";
	return fromMemory ? "differs (from memory)" : "FAILED";
}

function lineOf(check: Check): string[] {
	const { id, field, index, found, expected, tolerance } = check;
	const name = index === "" ? field : `${field}[${index}]`;
	return [id, name, shown(found), shown(expected), describeTolerance(tolerance), verdict(check)];
}

function report(rows: readonly Row[]): number {
	const answerer = new Answerer(adapters);
	const answered = rows.map((row) => ({ row, ...answerer.answer(row) }));
	const checks = answered.flatMap((one) => one.checks);
	const head = ["id", "field", "found", "expected", "tolerance", "held"];
	console.log(columns([head, ...checks.map(lineOf)]));

	const silent = answered.filter((one) => one.checks.length === 0);
	const rest = answered.filter((one) => one.checks.length > 0).flatMap((one) => one.gaps);
	if (rest.length > 0) {
		console.log("\nfields left out of answered rows");
		console.log(columns(rest.map(({ id, field, why }) => [id, field, why])));
	}
	if (silent.length > 0) {
		console.log("\nunanswered rows");
		const lines = silent.flatMap(({ row, gaps }) =>
			gaps.length > 0
				? gaps.map(({ field, why }) => [row.id, row.topic, field, why])
				: [[row.id, row.topic, "", "the row expects nothing"]],
		);
		console.log(columns(lines));
	}

	const failed = checks.filter(({ held, fromMemory }) => !held && !fromMemory).length;
	const differ = checks.filter(({ held, fromMemory }) => !held && fromMemory).length;
	console.log(
		`\n${rows.length} rows: ${rows.length - silent.length} answered, ` +
			`${silent.length} unanswered; ` +
			`${checks.length} checks: ${checks.length - failed - differ} held, ${failed} failed, ` +
			`${differ} differ (from memory)`,
	);
	return failed > 0 ? EXIT.failed : EXIT.held;
}

function main(): number {
	const [file, ...more] = process.argv.slice(2);
	if (file === undefined || more.length > 0) {
		console.error("usage: npm run reference -- FILE.json (one file of reference rows)");
		return EXIT.badFile;
	}
	try {
		// npm runs scripts in the project's folder; the path is meant from where it was typed.
		return report(readRows(resolve(process.env.INIT_CWD ?? process.cwd(), file)));
	} catch (error) {
		if (!(error instanceof BadRows)) throw error;
		console.error(error.message);
		return EXIT.badFile;
	}
}

process.exitCode = main();
