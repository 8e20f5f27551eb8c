// `lees note`: what people keep beside the rig's log. A note is written once, listed, struck, and
// never deleted. The clock of this computer is read here.

import { randomUUID } from "node:crypto";
import { existsSync } from "node:fs";
import { InputError } from "../../firmware/config/input-error.ts";
import { allowedAt, show } from "../../firmware/config/schema-words.ts";
import { Archive } from "../archive/archive.ts";
import { chosenRigs } from "../archive/export.ts";
import { cautions, type Note, noteSchema } from "../archive/note.ts";
import { hasLogOrNote, type RigLog, rigsIn, runsIn, spanOf, whenOf } from "../archive/rig-log.ts";
import { noteTable, noteWords } from "../report/archive-account.ts";
import { wrapped } from "../report/terminal-table.ts";
import { localText } from "../report/when-words.ts";
import type { ArchiveOptions } from "./book.ts";
import { EXIT } from "./exit.ts";

/** What commander gives: every kind takes its own of them. */
export interface NoteOptions extends ArchiveOptions {
	readonly at?: number;
	readonly by?: string;
	readonly text?: string;
	readonly id?: string;
	readonly tank?: string;
	readonly litres?: number;
	readonly place?: string;
	readonly batch?: string;
	readonly product?: string;
	readonly ml?: number;
	readonly of?: string;
	readonly looked?: string;
	readonly iso4406?: string;
	readonly micron?: number;
	readonly afterRun?: number;
	readonly count?: number;
	readonly container?: string;
	readonly receipt?: string;
	readonly standsSince?: number;
}

/** Clocks of two computers are never quite equal, ms. */
const AHEAD_MS_MAX = 60_000;

/** @throws InputError when a value is none that such a note may have */
export function addNote(kind: string, options: NoteOptions): number {
	const { archive: file, json } = options;
	// A command typed in another folder leaves no empty archive there.
	if (options.rig === undefined && !existsSync(file)) throw namelessRig(file, []);
	const archive = new Archive(file, { create: true });
	try {
		const rigs = rigsIn(archive).filter(hasLogOrNote);
		const rig = noteRig(rigs, options);
		const note = noteFrom(kind, options, rig, archive);
		const outcome = archive.notes.add(note, options.at === undefined);
		if (outcome === "other") {
			throw refusal(file, "--id", note.id, "an id that no other note has");
		}
		if (outcome === "struck") {
			throw refusal(file, "--id", `${note.id}, which was struck`, "an id that no other note has");
		}
		const caution = cautions[note.kind];
		const done = outcome === "known" ? "was noted already" : "noted";
		const lines = [
			`${note.id} ${done}: ${note.kind}, ${noteWords(note)}`,
			...newNames(note, rig, rigs),
			...(caution === undefined ? [] : [caution]),
		];
		const text =
			json === true
				? JSON.stringify(note, null, 2)
				: lines.map((line) => wrapped(line, 100)).join("\n");
		process.stdout.write(`${text}\n`);
		return EXIT.good;
	} finally {
		archive.close();
	}
}

/** A slip of the keyboard makes a tank or a rig that is never ready: said at once. */
function newNames(note: Note, rig: RigLog, rigs: readonly RigLog[]): string[] {
	const undo = `If that is a slip: lees note strike ${note.id}`;
	const others = rigs.filter((other) => other.rig !== rig.rig).map((other) => other.rig);
	if (!rigs.some((other) => other.rig === rig.rig) && others.length > 0) {
		return [`No rig ${rig.rig} was known here until now, but ${others.join(", ")}. ${undo}`];
	}
	if (!("tank" in note)) return [];
	const worked = runsIn(rig).flatMap(({ run: { order } }) =>
		[order.tank, order.toTank ?? []].flat(),
	);
	const noted = rig.notes.flatMap((other) => ("tank" in other ? [other.tank] : []));
	const known = [...new Set([...worked, ...noted])].sort();
	if (known.length === 0 || known.includes(note.tank)) return [];
	return [`No tank ${note.tank} was known here until now, but ${known.join(", ")}. ${undo}`];
}

/** The one rig of the archive, or the one that was named. */
function noteRig(rigs: readonly RigLog[], { rig: name, archive: file }: NoteOptions): RigLog {
	const names = rigs.map(({ rig }) => rig);
	if (name === undefined) {
		const [only] = rigs;
		if (only !== undefined && rigs.length === 1) return only;
		throw namelessRig(file, names);
	}
	return rigs.find(({ rig }) => rig === name) ?? { rig: name, stores: [], notes: [] };
}

function namelessRig(file: string, names: readonly string[]): InputError {
	const allowed = names.join(", ") || "the rig's name: the archive knows none";
	return refusal(file, "--rig", "none", allowed);
}

function noteFrom(kind: string, options: NoteOptions, rig: RigLog, archive: Archive): Note {
	const nowMs = Date.now();
	const atUtcMs = options.at ?? nowMs;
	if (atUtcMs > nowMs + AHEAD_MS_MAX) {
		throw refusal(options.archive, "--at", localText(atUtcMs), "a time that has been");
	}
	const { id = randomUUID().slice(0, 8), by = null, text = null } = options;
	const head = { id, rig: rig.rig, atUtcMs, by, text, kind };
	if (options.standsSince !== undefined && options.standsSince > atUtcMs + AHEAD_MS_MAX) {
		const since = localText(options.standsSince);
		throw refusal(options.archive, "--stands-since", since, "a time that has been by then");
	}
	const fields: Record<string, unknown> = { ...head, ...bodyOf(kind, options, rig, archive) };
	const read = noteSchema.safeParse(fields);
	if (read.success) return read.data;
	const problems = read.error.issues.map((issue) => {
		const key = String(issue.path[0] ?? "");
		const option = `--${optionNames[key] ?? key}`;
		const found = show(fields[key]);
		return { file: options.archive, key: option, found, allowed: allowedAt(issue) };
	});
	throw new InputError(problems);
}

/** As a note's fields are called on the command line, where that is another name. */
const optionNames: Readonly<Record<string, string>> = {
	atUtcMs: "at",
	standsSinceUtcMs: "stands-since",
	doseMl: "ml",
	drainedMl: "ml",
	wasteMl: "ml",
	from: "of",
};

function bodyOf(kind: string, options: NoteOptions, rig: RigLog, archive: Archive): object {
	const { tank, litres, place = null, batch = null, product, ml, receipt = null } = options;
	switch (kind) {
		case "uplift":
			return { tank, litres, place, batch };
		case "dose":
			return { tank, product, doseMl: ml };
		case "sample": {
			const { of: from, looked, iso4406 = null } = options;
			return { tank, from, looked, iso4406 };
		}
		case "element-change":
			return { micron: options.micron, ...changeOf(options, rig, archive) };
		case "drained":
			return { drainedMl: ml };
		case "spare-elements":
			return { count: options.count };
		case "waste":
			return { wasteMl: ml, container: options.container, place, receipt };
		default:
			return { standsSinceUtcMs: options.standsSince };
	}
}

/** After that run's end, or else after the last record that has come from the rig. */
function changeOf({ afterRun, at, archive: file }: NoteOptions, rig: RigLog, archive: Archive) {
	if (afterRun === undefined) {
		const later = runsIn(rig).find(
			({ store, run }) => at !== undefined && spanOf(whenOf(store, run.begin)).fromMs > at,
		);
		if (at !== undefined && later !== undefined) {
			const allowed = `--after-run with it, as run ${later.run.begin.seq} began since then`;
			throw refusal(file, "--at", localText(at), allowed);
		}
		const storeId = rig.stores.at(-1)?.storeId ?? null;
		const afterSeq = storeId === null ? 0 : (archive.last(storeId)?.seq ?? 0);
		return { storeId, afterSeq };
	}
	const found = runsIn(rig).findLast(({ run }) => run.begin.seq === afterRun);
	if (found === undefined) {
		throw refusal(
			file,
			"--after-run",
			`${afterRun}`,
			"the number of a run, as `lees runs` lists it",
		);
	}
	const { store, run } = found;
	if (run.end === null) {
		const allowed = "a run that has ended: pull the log first";
		throw refusal(file, "--after-run", `${afterRun}, which is under way here`, allowed);
	}
	const nextSeq = store.runs.find(({ begin }) => begin.seq > afterRun)?.begin.seq;
	const lastSeq = archive.last(store.storeId)?.seq ?? run.begin.seq;
	// What is told of the element at the run's end comes a record after it.
	return { storeId: store.storeId, afterSeq: nextSeq === undefined ? lastSeq : nextSeq - 1 };
}

export function listNotes({ archive: file, rig: name, json }: ArchiveOptions): number {
	const archive = new Archive(file, { create: false });
	try {
		const rigs = chosenRigs(rigsIn(archive), name, file).map(({ rig }) => rig);
		const notes = archive.notes.all().filter(({ note }) => rigs.includes(note.rig));
		const tables = rigs.map((rig) => {
			const own = notes.filter(({ note }) => note.rig === rig);
			return `${rig}\n${own.length === 0 ? "no notes" : noteTable(own)}`;
		});
		const text = json === true ? JSON.stringify(notes, null, 2) : tables.join("\n\n");
		process.stdout.write(`${text}\n`);
		return EXIT.good;
	} finally {
		archive.close();
	}
}

export function strikeNote(id: string, { archive: file }: ArchiveOptions): number {
	const archive = new Archive(file, { create: false });
	try {
		if (!archive.notes.strike(id, Date.now())) {
			throw refusal(file, "ID", id, "an id that `lees note list` shows");
		}
		process.stdout.write(`${id} struck\n`);
		return EXIT.good;
	} finally {
		archive.close();
	}
}

const refusal = (file: string, key: string, found: string, allowed: string) =>
	new InputError([{ file, key, found, allowed }]);
