// `lees note`: what people keep beside the rig's log. A note is written once, listed, struck, and
// never deleted. The clock of this computer is read here.

import { randomUUID } from "node:crypto";
import { existsSync } from "node:fs";
import { InputError } from "../../firmware/config/input-error.ts";
import { Archive } from "../archive/archive.ts";
import { chosenRigs } from "../archive/export.ts";
import { CLEAR_AND_BRIGHT, type Note } from "../archive/note.ts";
import {
	keepNote,
	type NoteEntry,
	NoteRefused,
	namelessRig,
	type Slip,
} from "../archive/note-entry.ts";
import { rigsIn } from "../archive/rig-log.ts";
import { noteTable, noteWords } from "../report/archive-account.ts";
import { wrapped } from "../report/terminal-table.ts";
import { localText } from "../report/when-words.ts";
import { cautions } from "../web/words/note-cautions.ts";
import type { ArchiveOptions } from "./book.ts";
import { EXIT } from "./exit.ts";
import { photoIn, photoWords } from "./note-photo.ts";

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
	readonly label?: string;
	readonly clearAndBright?: boolean;
	readonly spots?: readonly string[];
	readonly run?: number;
	readonly photo?: string;
}

/** @throws InputError when a value is none that such a note may have */
export function addNote(kind: string, options: NoteOptions): number {
	const { archive: file, json } = options;
	return refusedInWords(options, () => {
		// A command typed in another folder leaves no empty archive there.
		if (options.rig === undefined && !existsSync(file)) throw namelessRig([]);
		const photo = options.photo === undefined ? null : photoIn(options.photo);
		const archive = new Archive(file, { create: true });
		try {
			const { note, outcome, slip } = keepNote(
				archive,
				options.rig,
				entryOf(kind, options),
				Date.now(),
			);
			const kept = photo === null ? null : archive.photos.add(note.id, photo);
			if (kept === "other") {
				throw refusal(
					file,
					"--photo",
					"another photo",
					"one photo a note: strike it, note it anew",
				);
			}
			const done = outcome === "known" ? "was noted already" : "noted";
			const lines = [
				`${note.id} ${done}: ${note.kind}, ${noteWords(note)}`,
				...(photo === null ? [] : [photoWords(photo)]),
				...slipWords(note, slip),
				cautions[note.kind],
				...(note.kind === "sample" ? [CLEAR_AND_BRIGHT] : []),
				...(note.kind === "element-change" ? TELL_THE_RIG : []),
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
	});
}

/** The archive is the laptop's; what has to be proven again stands in the controller's log. */
const TELL_THE_RIG = [
	"Tell the controller too, so that what hangs on the element is proven again:",
	"  lees commission PORT --changed element --by AB",
];

/** @throws InputError in the words of the command line */
function refusedInWords(options: NoteOptions, work: () => number): number {
	try {
		return work();
	} catch (error) {
		if (!(error instanceof NoteRefused)) throw error;
		const problems = error.problems.map(({ field, found, allowed }) => {
			const key = `--${optionNames[field] ?? field}`;
			const at = field === "atUtcMs" ? options.at : options.standsSince;
			const isTime = field.endsWith("UtcMs") && at !== undefined;
			const words = allowed.replace(/^afterRun/, "--after-run");
			const shown = isTime ? localText(at) : found;
			return { file: options.archive, key, found: shown, allowed: words };
		});
		throw new InputError(problems);
	}
}

/** As a note's fields are called on the command line, where that is another name. */
const optionNames: Readonly<Record<string, string>> = {
	atUtcMs: "at",
	standsSinceUtcMs: "stands-since",
	doseMl: "ml",
	drainedMl: "ml",
	wasteMl: "ml",
	from: "of",
	afterRun: "after-run",
	clearAndBright: "clear-and-bright",
};

/** What was typed, under the names of the note's fields. */
function entryOf(kind: string, options: NoteOptions): NoteEntry {
	const { id = randomUUID().slice(0, 8), by, text, at: atUtcMs, afterRun } = options;
	return { kind, id, by, text, atUtcMs, afterRun, ...bodyOf(kind, options) };
}

function bodyOf(kind: string, options: NoteOptions): Record<string, unknown> {
	const { tank, litres, place, batch, product, ml, receipt, container, spots } = options;
	switch (kind) {
		case "uplift":
			return { tank, litres, place, batch };
		case "dose":
			return { tank, product, doseMl: ml, label: options.label };
		case "sample": {
			const { of: from, looked, iso4406, clearAndBright } = options;
			return { tank, from, looked, iso4406, clearAndBright };
		}
		case "element-change":
			return { micron: options.micron };
		case "drained":
			return { drainedMl: ml, tank, container };
		case "spare-elements":
			return { count: options.count };
		case "waste":
			return { wasteMl: ml, container, place, receipt };
		case "spot-map":
			return { tank, spots };
		case "spots":
			return { tank, spots, run: options.run };
		default:
			return { standsSinceUtcMs: options.standsSince };
	}
}

/** A name that nobody had noted before is said at once. */
function slipWords(note: Note, slip: Slip | null): string[] {
	if (slip === null) return [];
	const { what, name, known } = slip;
	const undo = `If that is a slip: lees note strike ${note.id}`;
	return [`No ${what} ${name} was known here until now, but ${known.join(", ")}. ${undo}`];
}

export function listNotes({ archive: file, rig: name, json }: ArchiveOptions): number {
	const archive = new Archive(file, { create: false });
	try {
		const rigs = chosenRigs(rigsIn(archive), name, file).map(({ rig }) => rig);
		const photos = archive.photos.heads();
		const kept = archive.notes.all().filter(({ note }) => rigs.includes(note.rig));
		const notes = kept.map((one) => ({ ...one, photo: photos.get(one.note.id) ?? null }));
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
