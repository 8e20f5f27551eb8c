// What somebody has filled in, as an entry for the logbook, or what is wrong with it field by
// field. The server has the last word. Pure; the time is an argument.

import type { NoteKind } from "../../archive/note.ts";
import { numberIn } from "../kit/number-in.ts";
import { fromUnit, inUnit, type Kind, numeral, type Taste } from "../units.ts";
import { words } from "../words/words.ts";
import { logbookWords } from "./logbook-words.ts";
import { type FieldKind, fieldsOf, type NoteField } from "./note-fields.ts";

/** Texts as they were typed, in the reader's units; by the names of the note's fields. */
export type Values = Readonly<Record<string, string>>;
export type Errors = Readonly<Record<string, string>>;
/** The note's own fields in SI, without id, rig and age. */
export type EntryFields = Readonly<Record<string, unknown>>;

export type Filled = { readonly fields: EntryFields } | { readonly errors: Errors };

const LITRES_MIN = 0.01;
const LITRES_MAX = 100_000;
const ML_MAX = 1_000_000;
const LINE_MAX = 200;
const WORDS_MAX = 2_000;
const INITIALS_MAX = 8;
const NAME = /^[a-z][a-z0-9-]{0,39}$/;
const LAB = /^\d{1,2}\/\d{1,2}\/\d{1,2}$/;

/** Names between commas, each once. */
export function namesIn(text: string): string[] {
	const names = text.split(",").map((name) => name.trim());
	return [...new Set(names.filter((name) => name !== ""))];
}

export function entryFrom(kind: NoteKind, values: Values, taste: Taste, nowMs: number): Filled {
	const errors: Record<string, string> = {};
	const fields: Record<string, unknown> = {};
	for (const field of fieldsOf(kind)) {
		const { name } = field;
		const text = (values[name] ?? "").trim();
		if (text === "" && field.isOptional === true) continue;
		const fail = (why: string) => {
			errors[name] = why;
		};
		if (text === "") fail(emptyWords(field.kind));
		else fields[name] = readers[field.kind](text, fail, taste, nowMs);
	}
	const { looked, clearAndBright } = fields;
	if (typeof clearAndBright === "boolean" && clearAndBright !== (looked === "clear")) {
		errors.clearAndBright = logbookWords().contradicts;
	}
	return Object.keys(errors).length > 0 ? { errors } : { fields };
}

function emptyWords(kind: FieldKind): string {
	const { choose, fill, notANumber } = words().kit;
	if (["litres", "ml", "microns", "whole"].includes(kind)) return notANumber;
	return ["from", "looked", "judged", "done", "tank", "container"].includes(kind) ? choose : fill;
}

type Read = (text: string, fail: (why: string) => void, taste: Taste, nowMs: number) => unknown;

function number(least: number, most: number, kind?: Kind, isWhole = false): Read {
	return (text, fail, taste) => {
		const { notANumber, notWhole, tooSmall, tooLarge } = words().kit;
		const shown = numberIn(text);
		if (shown === null) return fail(notANumber);
		const stored = kind === undefined ? shown : fromUnit(kind, shown, taste);
		const limit = (at: number) =>
			numeral(kind === undefined ? at : inUnit(kind, at, taste), at < 1 && at > 0 ? 2 : 0);
		if (isWhole && !Number.isInteger(stored)) fail(notWhole);
		else if (stored < least) fail(tooSmall(limit(least)));
		else if (stored > most) fail(tooLarge(limit(most)));
		return stored;
	};
}

function line(most: number): Read {
	return (text, fail) => {
		if (text.length > most) fail(logbookWords().long(String(most)));
		return text;
	};
}

const spots: Read = (text, fail) => {
	const names = namesIn(text);
	if (!names.every((name) => NAME.test(name))) fail(logbookWords().badName);
	return names;
};

const asItIs: Read = (text) => text;

const readers: Readonly<Record<NoteField["kind"], Read>> = {
	tank: (text, fail) => {
		if (!NAME.test(text)) fail(logbookWords().badName);
		return text;
	},
	container: line(LINE_MAX),
	litres: number(LITRES_MIN, LITRES_MAX, "volume"),
	ml: number(0, ML_MAX),
	microns: number(1, 100),
	whole: number(0, 1_000, undefined, true),
	line: line(LINE_MAX),
	words: line(WORDS_MAX),
	initials: line(INITIALS_MAX),
	lab: (text, fail) => {
		if (!LAB.test(text)) fail(logbookWords().badCount);
		return text;
	},
	from: asItIs,
	looked: asItIs,
	// Not judged by the procedure is left out of the entry.
	judged: (text) => (text === "none" ? undefined : text === "yes"),
	run: (text) => Number(text),
	spots,
	done: spots,
	time: (text, fail, _, nowMs) => {
		const utcMs = new Date(text).getTime();
		if (!Number.isFinite(utcMs)) fail(logbookWords().badTime);
		else if (utcMs > nowMs) fail(logbookWords().future);
		return utcMs;
	},
};
