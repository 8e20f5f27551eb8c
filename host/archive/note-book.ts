// The book of notes in the archive, in which a note is struck and never deleted. Imports
// better-sqlite3's types.

import type Database from "better-sqlite3";
import { type KeptNote, type Note, noteSchema } from "./note.ts";

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
		// What an older version wrote lacks what came later: both are read the same way.
		const kept = noteSchema.parse(JSON.parse(row.body));
		const again = isNow ? { ...note, atUtcMs: kept.atUtcMs } : note;
		const isSame = JSON.stringify(noteSchema.parse(again)) === JSON.stringify(kept);
		return isSame ? "known" : "other";
	}

	/** A struck note stays and counts no more. @returns false when there is no such note */
	strike(id: string, struckUtcMs: number): boolean {
		const update = `UPDATE notes SET struck_utc_ms = coalesce(struck_utc_ms, ?) WHERE id = ?`;
		return this.db.prepare(update).run(struckUtcMs, id).changes === 1;
	}

	/** Whether it counts; null when there is no such note. */
	counts(id: string): boolean | null {
		const select = "SELECT struck_utc_ms IS NULL FROM notes WHERE id = ?";
		const found = this.db.prepare(select).pluck().get(id);
		return found === undefined ? null : found === 1;
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
