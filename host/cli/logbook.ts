// `lees pull`, `lees runs`, `lees totals`: the log from the link into the laptop's archive, and
// what the archive tells. Progress goes to standard error and only to a terminal.

import Table from "cli-table3";
import { Archive } from "../archive/archive.ts";
import { runsOf, totalsOf, unorderedOf } from "../archive/runs.ts";
import { clock } from "../report/account.ts";
import { goalWords, orderWords } from "../report/order-words.ts";
import { EXIT } from "./exit.ts";

export interface ArchiveOptions {
	readonly archive: string;
	readonly json?: boolean;
}

export function listRuns(options: ArchiveOptions): number {
	const rows = readAll(options).flatMap(runsOf);
	if (options.json === true) return print(rows);
	const head = [
		"rig",
		"run",
		"began, boot + h:mm:ss",
		"work",
		"goal",
		"L",
		"pump h",
		"ended",
		"trips",
	];
	const table = rows.map((row) => [
		row.rig,
		row.seq,
		`${row.boot} + ${clock(row.beginMs)}`,
		orderWords(row),
		goalWords(row),
		row.litres.toFixed(2),
		row.hours.toFixed(4),
		row.outcome,
		row.trips.length === 0 ? "none" : row.trips.join(", "),
	]);
	return printTable(head, table);
}

export function listTotals(options: ArchiveOptions): number {
	const histories = readAll(options);
	const unordered = histories.flatMap((history) => unorderedOf(history) ?? []);
	const rows = totalsOf(histories.flatMap(runsOf), unordered);
	if (options.json === true) return print(rows);
	const head = ["rig", "tank", "runs", "L", "pump h"];
	const table = rows.map(({ rig, tank, runs, litres, hours }) => [
		rig,
		tank,
		runs,
		litres.toFixed(2),
		hours.toFixed(4),
	]);
	return printTable(head, table);
}

function readAll({ archive: file }: ArchiveOptions) {
	const archive = new Archive(file, { create: false });
	const histories = archive.stores().map((store) => archive.history(store));
	archive.close();
	return histories;
}

function print(value: unknown): number {
	process.stdout.write(`${JSON.stringify(value, null, 2)}\n`);
	return EXIT.good;
}

function printTable(head: string[], rows: ReadonlyArray<ReadonlyArray<string | number>>): number {
	const table = new Table({ head, style: { head: [], border: [] } });
	for (const row of rows) table.push([...row]);
	process.stdout.write(`${table.toString()}\n`);
	return EXIT.good;
}
