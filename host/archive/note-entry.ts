// A note made from what somebody typed, in the terminal or on the page: the rig found, what was
// left out filled in, every value checked, and the note kept once. Names in what it refuses are the
// entry's own; who asked puts them into words. Reads no clock.

import type { z } from "zod";
import { allowedAt, show } from "../../firmware/config/schema-words.ts";
import type { Archive } from "./archive.ts";
import { type Note, type NoteKind, noteKinds, noteSchema, tankOf } from "./note.ts";
import { hasLogOrNote, type RigLog, rigsIn, runsIn, spanOf, whenOf } from "./rig-log.ts";

/** Fields as the kind's schema has them, but for what is worked out here. */
export interface NoteEntry {
	readonly kind: string;
	/** Made once for each note: the same one again is the same note. */
	readonly id: string;
	/** When it happened, where somebody said so; Unix time, ms. */
	readonly atUtcMs?: number | undefined;
	/** So long ago it was written, ms: of what could not be sent at once. */
	readonly ageMs?: number | undefined;
	/** Of an element's change: after the end of the run that begins with this record. */
	readonly afterRun?: number | undefined;
	readonly [field: string]: unknown;
}

/** One thing that is wrong with an entry. */
export interface EntryProblem {
	readonly field: string;
	readonly found: string;
	readonly allowed: string;
}

export class NoteRefused extends Error {
	readonly problems: readonly EntryProblem[];

	constructor(...problems: readonly EntryProblem[]) {
		super(problems.map(({ field, found }) => `${field}: ${found}`).join("\n"));
		this.name = "NoteRefused";
		this.problems = problems;
	}
}

/** The id is another note's, or one's that was struck. */
export class IdTaken extends NoteRefused {}

/** A name that nobody had noted before, and those that are known: maybe a slip of the keyboard. */
export interface Slip {
	readonly what: "rig" | "tank";
	readonly name: string;
	readonly known: readonly string[];
}

export interface KeptEntry {
	readonly note: Note;
	readonly outcome: "added" | "known";
	readonly slip: Slip | null;
}

/** Clocks of two computers are never quite equal, ms. */
const AHEAD_MS_MAX = 60_000;
/** What is written down longer ago than this came late, ms. */
const LATE_MS = 60_000;

/**
 * Keeps a note; the very same entry again changes nothing.
 * @param rigName undefined: the one rig of the archive
 * @throws NoteRefused when a value is none that such a note may have, or the id is another note's
 */
export function keepNote(
	archive: Archive,
	rigName: string | undefined,
	entry: NoteEntry,
	nowMs: number,
): KeptEntry {
	const rigs = rigsIn(archive).filter(hasLogOrNote);
	const rig = rigNamed(rigs, rigName);
	const note = noteFromEntry(archive, rig, entry, nowMs);
	const outcome = archive.notes.add(note, entry.atUtcMs === undefined);
	if (outcome === "other" || outcome === "struck") {
		const found = outcome === "other" ? note.id : `${note.id}, which was struck`;
		throw new IdTaken({ field: "id", found, allowed: "an id that no other note has" });
	}
	return { note, outcome, slip: slipOf(note, rig, rigs) };
}

/** The one rig of the archive, or the one that was named. */
function rigNamed(rigs: readonly RigLog[], name: string | undefined): RigLog {
	if (name !== undefined) {
		return rigs.find(({ rig }) => rig === name) ?? { rig: name, stores: [], notes: [] };
	}
	const [only] = rigs;
	if (only !== undefined && rigs.length === 1) return only;
	throw namelessRig(rigs.map(({ rig }) => rig));
}

export const namelessRig = (names: readonly string[]): NoteRefused =>
	refusal("rig", "none", names.join(", ") || "the rig's name: the archive knows none");

/** @throws NoteRefused */
export function noteFromEntry(
	archive: Archive,
	rig: RigLog,
	entry: NoteEntry,
	nowMs: number,
): Note {
	const { kind, afterRun, ageMs = 0, ...given } = entry;
	const known = noteKinds.find((name) => name === kind);
	if (known === undefined) throw refusal("kind", show(kind), noteKinds.join(", "));
	const atUtcMs = entry.atUtcMs ?? nowMs - Math.max(0, ageMs);
	const isNow = entry.atUtcMs === undefined && ageMs <= LATE_MS;
	if (atUtcMs > nowMs + AHEAD_MS_MAX) {
		throw refusal("atUtcMs", show(atUtcMs), "a time that has been");
	}
	const fields: Record<string, unknown> = {
		...nullsOf(known),
		...Object.fromEntries(Object.entries(given).filter(([, value]) => value !== undefined)),
		kind,
		rig: rig.rig,
		atUtcMs,
		...(known === "element-change" ? changeOf(entry, isNow ? null : atUtcMs, rig, archive) : {}),
		...(known === "spots" ? sweptIn(entry, rig) : {}),
	};
	const read = noteSchema.safeParse(fields);
	if (!read.success) throw new NoteRefused(...read.error.issues.flatMap(problemsOf(fields)));
	const note = read.data;
	if (note.kind === "engine" && note.standsSinceUtcMs > atUtcMs + AHEAD_MS_MAX) {
		throw refusal("standsSinceUtcMs", show(note.standsSinceUtcMs), "a time that has been by then");
	}
	return note;
}

/** What may be left out is null in the note. */
function nullsOf(kind: NoteKind): Record<string, null> {
	const option = noteSchema.options.find(({ shape }) =>
		[...shape.kind.values].some((name) => name === kind),
	);
	const fields: Array<[string, z.ZodType]> = Object.entries(option?.shape ?? {});
	const empty = fields.filter(([, schema]) => schema.safeParse(null).success);
	return Object.fromEntries(empty.map(([name]) => [name, null]));
}

const problemsOf =
	(fields: Record<string, unknown>) =>
	(issue: z.core.$ZodIssue): EntryProblem[] => {
		if (issue.code === "unrecognized_keys") {
			return issue.keys.map((field) => ({
				field,
				found: show(fields[field]),
				allowed: "nothing: such a note has no such field",
			}));
		}
		const field = String(issue.path[0] ?? "");
		return [{ field, found: show(fields[field]), allowed: allowedAt(issue) }];
	};

/**
 * After that run's end, or else after the last record that has come from the rig.
 * @param at when it was, where that is not now: then what came since may have been with either
 */
function changeOf({ afterRun }: NoteEntry, at: number | null, rig: RigLog, archive: Archive) {
	if (afterRun !== undefined) return endOfRun(afterRun, rig, archive);
	const later =
		at === null
			? undefined
			: runsIn(rig).find(({ store, run }) => spanOf(whenOf(store, run.begin)).fromMs > at);
	if (later !== undefined) {
		const allowed = `afterRun with it, as run ${later.run.begin.seq} began since then`;
		throw refusal("atUtcMs", show(at), allowed);
	}
	const storeId = rig.stores.at(-1)?.storeId ?? null;
	const afterSeq = storeId === null ? 0 : (archive.last(storeId)?.seq ?? 0);
	return { storeId, afterSeq };
}

function endOfRun(afterRun: number, rig: RigLog, archive: Archive) {
	const { store, run } = runAt("afterRun", afterRun, rig);
	if (run.end === null) {
		const allowed = "a run that has ended: pull the log first";
		throw refusal("afterRun", `${afterRun}, which is under way here`, allowed);
	}
	const nextSeq = store.runs.find(({ begin }) => begin.seq > afterRun)?.begin.seq;
	const lastSeq = archive.last(store.storeId)?.seq ?? run.begin.seq;
	// What is told of the element at the run's end comes a record after it.
	return { storeId: store.storeId, afterSeq: nextSeq === undefined ? lastSeq : nextSeq - 1 };
}

/** The run in which those spots were done, where it was said. */
function sweptIn({ run: seq }: NoteEntry, rig: RigLog) {
	if (typeof seq !== "number") return { storeId: null };
	return { storeId: runAt("run", seq, rig).store.storeId };
}

function runAt(field: string, seq: number, rig: RigLog) {
	const found = runsIn(rig).findLast(({ run }) => run.begin.seq === seq);
	if (found !== undefined) return found;
	throw refusal(field, `${seq}`, "the number of a run, as `lees runs` lists it");
}

/** A slip of the keyboard makes a tank or a rig that is never ready: said at once. */
function slipOf(note: Note, rig: RigLog, rigs: readonly RigLog[]): Slip | null {
	const others = rigs.filter((other) => other.rig !== rig.rig).map((other) => other.rig);
	if (!rigs.some((other) => other.rig === rig.rig) && others.length > 0) {
		return { what: "rig", name: rig.rig, known: others };
	}
	const tank = tankOf(note);
	const known = tanksIn(rig);
	if (tank === null || known.length === 0 || known.includes(tank)) return null;
	return { what: "tank", name: tank, known };
}

/** Tanks that runs and notes tell of, by name. */
export function tanksIn(rig: RigLog): string[] {
	const worked = runsIn(rig).flatMap(({ run: { order } }) =>
		[order.tank, order.toTank ?? []].flat(),
	);
	const noted = rig.notes.flatMap((note) => tankOf(note) ?? []);
	return [...new Set([...worked, ...noted])].sort();
}

const refusal = (field: string, found: string, allowed: string): NoteRefused =>
	new NoteRefused({ field, found, allowed });
