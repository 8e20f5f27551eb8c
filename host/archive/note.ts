// What people note beside the rig's own records: fuel bought, doses, samples, elements, water
// drained, waste, the engine. The one owner of their schemas and of their book in the archive, in
// which a note is struck and never deleted. Imports zod and better-sqlite3's types.

import type Database from "better-sqlite3";
import * as z from "zod";
import { tankSchema } from "../../firmware/config/rig-parts.ts";

const line = z.string().trim().min(1).max(200);
const tank = tankSchema.shape.name;
const ml = z.number().min(0).max(1_000_000);

const head = {
	id: z
		.string()
		.regex(/^[A-Za-z0-9-]{1,64}$/, "at most 64 letters, digits and dashes")
		.describe("the same id twice is one note"),
	rig: line,
	atUtcMs: z.int().min(0).describe("when it happened, Unix time, ms"),
	by: z.nullable(z.string().trim().min(1).max(8)).describe("initials"),
	text: z.nullable(z.string().trim().min(1).max(2_000)),
};

export const sampleKinds = ["after-24h", "bowl", "tank-bottom"] as const;
export const looks = ["clear", "hazy", "water", "dirt"] as const;

export const noteSchema = z.discriminatedUnion("kind", [
	z.strictObject({
		...head,
		kind: z.literal("uplift"),
		tank,
		litres: z.number().positive().max(100_000),
		place: z.nullable(line),
		batch: z.nullable(line),
	}),
	z.strictObject({
		...head,
		kind: z.literal("dose"),
		tank,
		product: line.describe("what kind of additive"),
		doseMl: ml,
	}),
	z.strictObject({
		...head,
		kind: z.literal("sample"),
		tank,
		from: z.enum(sampleKinds),
		looked: z.enum(looks),
		iso4406: z.nullable(
			z.string().regex(/^\d{1,2}\/\d{1,2}\/\d{1,2}$/, "three numbers such as 18/16/13"),
		),
	}),
	z.strictObject({
		...head,
		kind: z.literal("element-change"),
		micron: z.number().min(1).max(100),
		storeId: z.nullable(z.string()),
		/** The new element has seen nothing up to this record. */
		afterSeq: z.int().min(0),
	}),
	z.strictObject({ ...head, kind: z.literal("drained"), drainedMl: ml }),
	z.strictObject({ ...head, kind: z.literal("spare-elements"), count: z.int().min(0).max(1_000) }),
	z.strictObject({
		...head,
		kind: z.literal("waste"),
		wasteMl: ml,
		container: line,
		/** Null while it stands aboard. */
		place: z.nullable(line),
		receipt: z.nullable(line),
	}),
	z.strictObject({
		...head,
		kind: z.literal("engine"),
		standsSinceUtcMs: z.int().min(0).describe("it has not run since then, Unix time, ms"),
	}),
]);

export type Note = Readonly<z.infer<typeof noteSchema>>;
export type NoteKind = Note["kind"];
export type NoteOf<K extends NoteKind> = Extract<Note, { kind: K }>;

/** A note as the book has it. */
export interface KeptNote {
	readonly note: Note;
	/** Null while it counts. */
	readonly struckUtcMs: number | null;
}

/** What to mind where a hand comes near fuel: said with the note. */
export const cautions: Partial<Record<NoteKind, string>> = {
	dose: "Dose by the maker's label. Dead growth plugs elements for days: look more often.",
	"element-change":
		"Isolator off and locked, gloves and eye protection on, no flame, absorbent at hand; refill " +
		"the bowl; prove the water probe wet.",
	drained: "Water and sludge go into a closed container: never overboard, never down a drain.",
	waste: "Waste goes to a licensed facility: never overboard, never down a drain.",
	sample: "Only a sample or a lab's count may say clean, and only of what was sampled.",
};

export class NoteBook {
	private readonly db: Database.Database;

	constructor(db: Database.Database) {
		this.db = db;
	}

	/**
	 * Writes a note; the very same one again changes nothing.
	 * @param isNow nobody said when it happened: then the same one may come later
	 * @returns `other` when the id is another note's, `struck` when that note counts no more; nothing
	 * is changed then
	 */
	add(note: Note, isNow = false): "added" | "known" | "other" | "struck" {
		const { id, rig, atUtcMs, kind } = note;
		const body = JSON.stringify(noteSchema.parse(note));
		const insert = "INSERT OR IGNORE INTO notes VALUES (?, ?, ?, ?, ?, NULL)";
		if (this.db.prepare(insert).run(id, rig, atUtcMs, kind, body).changes === 1) return "added";
		const select = "SELECT body, struck_utc_ms AS struckUtcMs FROM notes WHERE id = ?";
		const row = this.db.prepare(select).get(id) as { body: string; struckUtcMs: number | null };
		if (row.struckUtcMs !== null) return "struck";
		const kept = noteSchema.parse(JSON.parse(row.body));
		const again = isNow ? { ...note, atUtcMs: kept.atUtcMs } : note;
		return JSON.stringify(noteSchema.parse(again)) === row.body ? "known" : "other";
	}

	/** A struck note stays and counts no more. @returns false when there is no such note */
	strike(id: string, struckUtcMs: number): boolean {
		const update = `UPDATE notes SET struck_utc_ms = coalesce(struck_utc_ms, ?) WHERE id = ?`;
		return this.db.prepare(update).run(struckUtcMs, id).changes === 1;
	}

	/** All of them in the order in which things happened, struck ones too. */
	all(): KeptNote[] {
		const select = `SELECT body, struck_utc_ms AS struckUtcMs FROM notes
			ORDER BY at_utc_ms, id`;
		const rows = this.db.prepare(select).all() as Array<{
			body: string;
			struckUtcMs: number | null;
		}>;
		return rows.map(({ body, struckUtcMs }) => ({
			note: noteSchema.parse(JSON.parse(body)),
			struckUtcMs,
		}));
	}

	/** Those of a rig that count. */
	of(rig: string): Note[] {
		return this.all().flatMap(({ note, struckUtcMs }) =>
			note.rig === rig && struckUtcMs === null ? [note] : [],
		);
	}
}
