// `lees runs`, `totals`, `element`, `ready`, `export`, `note map` and `note ledger`: what the
// laptop's archive tells. Answers on standard output, as tables or as JSON by the schemas of
// answers.ts and note-answers.ts; nothing is written but a file that was asked for.

import { once } from "node:events";
import { closeSync, existsSync, fsyncSync, openSync, renameSync, rmSync, writeSync } from "node:fs";
import { InputError } from "../../firmware/config/input-error.ts";
import { Archive } from "../archive/archive.ts";
import { elementHistory, elementRow } from "../archive/element.ts";
import type { TallyAt } from "../archive/element-spans.ts";
import { chosenRigs, type SheetSubject, sheetOf } from "../archive/export.ts";
import { readiness } from "../archive/readiness.ts";
import type { ReadyLimits } from "../archive/ready-limits.ts";
import { hasLogOrNote, type RigLog, rigsIn } from "../archive/rig-log.ts";
import { runRows, totalRows } from "../archive/run-rows.ts";
import { type SheetFormat, sheetLines } from "../archive/sheet.ts";
import { spotMaps } from "../archive/spots.ts";
import { wasteLedger } from "../archive/waste-ledger.ts";
import {
	elementAccount,
	quarrelLines,
	readyAccount,
	runTable,
	TOTALS_WORDS,
	totalTable,
} from "../report/archive-account.ts";
import { elementTable, ledgerAccount, spotTable } from "../report/note-account.ts";
import { EXIT } from "./exit.ts";

export interface ArchiveOptions {
	readonly archive: string;
	readonly rig?: string;
	readonly json?: boolean;
}

export interface ElementOptions extends ArchiveOptions {
	readonly all?: boolean;
}

export interface ReadyOptions extends ArchiveOptions {
	readonly turnovers: number;
	readonly standingDays: number;
	readonly elementPct: number;
	readonly spares: number;
	readonly standHours: number;
	readonly wasteMl: number;
}

export interface ExportOptions extends ArchiveOptions {
	readonly what: SheetSubject;
	readonly format: SheetFormat;
	readonly out?: string;
	readonly force?: boolean;
}

export function listRuns(options: ArchiveOptions): number {
	return tell(options, runRows, (rig, rows) =>
		rows.length === 0 ? [title(rig), "no runs"] : [title(rig), runTable(rows), ...doubts(rig)],
	);
}

export function listTotals(options: ArchiveOptions): number {
	return tell(options, totalRows, (rig, rows) => [title(rig), totalTable(rows), TOTALS_WORDS]);
}

export function showElement(options: ElementOptions): number {
	if (options.all === true) {
		return tell(options, elementHistory, (rig, rows) => [title(rig), elementTable(rows)]);
	}
	const one = (rig: RigLog, tallyAt: TallyAt) => [elementRow(rig, tallyAt)];
	return tell(options, one, (_, rows) => rows.map(elementAccount));
}

export function showLedger(options: ArchiveOptions): number {
	const one = (rig: RigLog) => [{ rig: rig.rig, ...wasteLedger(rig) }];
	return tell(options, one, (_, rows) => rows.map(ledgerAccount));
}

export function showSpots(options: ArchiveOptions): number {
	const one = (rig: RigLog) => spotMaps(rig).map((map) => ({ rig: rig.rig, ...map }));
	return tell(options, one, (rig, rows) => [title(rig), spotTable(rows)]);
}

/** Exit 1 when a rig's boat is not ready, or nothing is known of any. */
export function showReady(options: ReadyOptions): number {
	const limits: ReadyLimits = {
		turnoversMin: options.turnovers,
		standingDaysMax: options.standingDays,
		elementLeftPctMin: options.elementPct,
		sparesMin: options.spares,
		standHoursMin: options.standHours,
		wasteMlMax: options.wasteMl,
	};
	const verdicts: boolean[] = [];
	const one = (rig: RigLog) => {
		const answer = readiness(rig, limits, Date.now());
		verdicts.push(answer.isReady);
		return [answer];
	};
	tell(options, one, (_, rows) => rows.map(readyAccount));
	const isReady = verdicts.length > 0 && verdicts.every((is) => is);
	return isReady ? EXIT.good : EXIT.doesNotHold;
}

const title = ({ rig }: RigLog): string => rig;

/** Clocks that contradict each other, of all its stores. */
const doubts = ({ stores }: RigLog): string[] =>
	stores.flatMap(({ dating }) => quarrelLines(dating.quarrels));

/** Prints what one question gives for each rig: all rows as JSON, or an account a rig. */
function tell<Row>(
	{ archive: file, rig: name, json }: ArchiveOptions,
	ask: (rig: RigLog, tallyAt: TallyAt) => Row[],
	account: (rig: RigLog, rows: Row[]) => string[],
): number {
	const archive = new Archive(file, { create: false });
	try {
		const known = rigsIn(archive).filter(hasLogOrNote);
		const rigs = chosenRigs(known, name, file);
		const answers = rigs.map((rig) => ({
			rig,
			rows: ask(rig, (...asked) => archive.tallyAt(...asked)),
		}));
		const empty = rigs.length === 0 ? "nothing is known of any rig yet: pull its log" : null;
		const text =
			json === true
				? JSON.stringify(
						answers.flatMap(({ rows }) => rows),
						null,
						2,
					)
				: (empty ?? answers.map(({ rig, rows }) => account(rig, rows).join("\n")).join("\n\n"));
		process.stdout.write(`${text}\n`);
		return EXIT.good;
	} finally {
		archive.close();
	}
}

/** @throws InputError when the file is there, or cannot be written */
export async function exportRows(options: ExportOptions): Promise<number> {
	const { archive: file, rig, what, format, out, force } = options;
	if (out !== undefined && force !== true && existsSync(out)) {
		throw refusal(out, "a file that is there already", "a new file, or --force");
	}
	const archive = new Archive(file, { create: false });
	try {
		const rigs = chosenRigs(rigsIn(archive), rig, file);
		const chunks = chunked(sheetLines(sheetOf(what, archive, rigs), format));
		if (out === undefined) await printAll(chunks);
		else writeAll(out, chunks);
		return EXIT.good;
	} finally {
		archive.close();
	}
}

const CHUNK = 65_536;

function* chunked(lines: Iterable<string>): Generator<string> {
	let chunk = "";
	for (const line of lines) {
		chunk += line;
		if (chunk.length < CHUNK) continue;
		yield chunk;
		chunk = "";
	}
	yield chunk;
}

async function printAll(chunks: Iterable<string>): Promise<void> {
	for (const chunk of chunks) if (!process.stdout.write(chunk)) await once(process.stdout, "drain");
}

/** Written beside its place and moved there: a full disk leaves no half of a file. */
function writeAll(out: string, chunks: Iterable<string>): void {
	const beside = `${out}.part`;
	try {
		const handle = openSync(beside, "w");
		try {
			for (const chunk of chunks) writeSync(handle, chunk);
			fsyncSync(handle);
		} finally {
			closeSync(handle);
		}
		renameSync(beside, out);
	} catch (error) {
		rmSync(beside, { force: true });
		if (!(error instanceof Error && "code" in error)) throw error;
		const found = error.code === "ENOENT" ? "no such folder" : String(error.code);
		throw refusal(out, found, "a file in a folder that is there, with room");
	}
}

const refusal = (file: string, found: string, allowed: string) =>
	new InputError([{ file, found, allowed }]);
