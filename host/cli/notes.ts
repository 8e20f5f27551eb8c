// `lees note`: what people keep beside the rig's log. A note is written once, listed, struck, and
// never deleted. The clock of this computer is read here.

import { randomUUID } from "node:crypto";
import { InputError } from "../../firmware/config/input-error.ts";
import { Archive } from "../archive/archive.ts";
import { cautions, type Note, noteSchema } from "../archive/note.ts";
import { type RigLog, rigsIn, runsIn } from "../archive/rig-log.ts";
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
	const archive = new Archive(file, { create: true });
	try {
		const rig = noteRig(rigsIn(archive), options);
		const note = noteFrom(kind, options, rig, archive);
		const outcome = archive.notes.add(note, options.at === undefined);
		if (outcome === "other") {
			throw refusal(file, "--id", note.id, "an id that no other note has");
		}
		const caution = cautions[note.kind];
		const done = outcome === "known" ? "was noted already" : "noted";
		const lines = [
			`${note.id} ${done}: ${note.kind}, ${noteWords(note)}`,
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

/** The one rig of the archive, or the one that was named. */
function noteRig(rigs: readonly RigLog[], { rig: name, archive: file }: NoteOptions): RigLog {
	const names = rigs.map(({ rig }) => rig);
	if (name === undefined) {
		const [only] = rigs;
		if (only !== undefined && rigs.length === 1) return only;
		const allowed =
			names.length === 0 ? "the rig's name: the archive knows none" : names.join(", ");
		throw refusal(file, "--rig", "none", allowed);
	}
	return rigs.find(({ rig }) => rig === name) ?? { rig: name, stores: [], notes: [] };
}

function noteFrom(kind: string, options: NoteOptions, rig: RigLog, archive: Archive): Note {
	const nowMs = Date.now();
	const atUtcMs = options.at ?? nowMs;
	if (atUtcMs > nowMs + AHEAD_MS_MAX) {
		throw refusal(options.archive, "--at", localText(atUtcMs), "a time that has been");
	}
	const { id = randomUUID().slice(0, 8), by = null, text = null } = options;
	const head = { id, rig: rig.rig, atUtcMs, by, text, kind };
	const read = noteSchema.safeParse({ ...head, ...bodyOf(kind, options, rig, archive) });
	if (read.success) return read.data;
	const [issue] = read.error.issues;
	const key = issue?.path.join(".") ?? "";
	throw refusal(options.archive, key, "what does not fit", issue?.message ?? "");
}

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
function changeOf({ afterRun, archive: file }: NoteOptions, rig: RigLog, archive: Archive) {
	if (afterRun === undefined) {
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
	const nextSeq = store.runs.find(({ begin }) => begin.seq > afterRun)?.begin.seq;
	const lastSeq = archive.last(store.storeId)?.seq ?? run.begin.seq;
	// What is told of the element at the run's end comes a record after it.
	return { storeId: store.storeId, afterSeq: nextSeq === undefined ? lastSeq : nextSeq - 1 };
}

export function listNotes({ archive: file, rig, json }: ArchiveOptions): number {
	const archive = new Archive(file, { create: false });
	try {
		const notes = archive.notes.all().filter(({ note }) => rig === undefined || note.rig === rig);
		const empty = notes.length === 0 ? "no notes" : null;
		const text = json === true ? JSON.stringify(notes, null, 2) : (empty ?? noteTable(notes));
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
