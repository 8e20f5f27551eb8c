// Photos of the archive, one a note, with the SHA-256 of what is kept. What comes in has been read
// by photo.ts, so that nothing here tells where or when it was taken. Imports better-sqlite3's
// types.

import { createHash } from "node:crypto";
import type Database from "better-sqlite3";
import type { PhotoHead } from "./note-answers.ts";
import type { Photo } from "./photo.ts";

const HEAD = "note, kind, sha256, length(bytes) AS byteCount";

export class PhotoBook {
	private readonly db: Database.Database;

	constructor(db: Database.Database) {
		this.db = db;
	}

	/**
	 * Keeps a note's photo; the very same one again changes nothing.
	 * @param note the id of a note that is in the archive
	 * @returns `other` when that note has another photo: nothing is changed then
	 */
	add(note: string, { kind, bytes }: Photo): "added" | "known" | "other" {
		const sha256 = createHash("sha256").update(bytes).digest("hex");
		const insert = "INSERT OR IGNORE INTO photos VALUES (?, ?, ?, ?)";
		if (this.db.prepare(insert).run(note, kind, sha256, bytes).changes === 1) return "added";
		return this.head(note)?.sha256 === sha256 ? "known" : "other";
	}

	head(note: string): PhotoHead | null {
		const row = this.db.prepare(`SELECT ${HEAD} FROM photos WHERE note = ?`).get(note);
		return (row as PhotoHead | undefined) ?? null;
	}

	/** By the id of their note. */
	heads(): Map<string, PhotoHead> {
		const rows = this.db.prepare(`SELECT ${HEAD} FROM photos`).all() as PhotoHead[];
		return new Map(rows.map((row) => [row.note, row]));
	}

	/** The photo as it is kept; null when that note has none. */
	read(note: string): Photo | null {
		const row = this.db.prepare("SELECT kind, bytes FROM photos WHERE note = ?").get(note);
		return (row as Photo | undefined) ?? null;
	}
}
