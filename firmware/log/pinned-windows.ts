// Windows of tick inputs in a store: which records have pinned one, its rows, and with what rig and
// pin map its boot decided, by which program. The store's thread alone.

import { createHash } from "node:crypto";
import type { Database } from "better-sqlite3";
import { WINDOWS_LISTED } from "../link/protocol.ts";
import type { RingRow } from "./database.ts";

/** Once for each content, and which boot has which. A file of an earlier version may lack them. */
export const ORIGIN_TABLES = `
	CREATE TABLE IF NOT EXISTS origins (hash TEXT PRIMARY KEY, body TEXT NOT NULL) STRICT;
	CREATE TABLE IF NOT EXISTS boots (boot INTEGER PRIMARY KEY, origin TEXT NOT NULL) STRICT;
`;

/** With what a boot decides: an `Origin` of kept-run.ts as JSON. */
export interface BootOrigin {
	readonly boot: number;
	readonly body: string;
}

/** Tick inputs that record `seq` has pinned. */
export interface PinnedWindow {
	readonly seq: number;
	readonly boot: number;
	/** The last tick, ms since that boot. */
	readonly toMs: number;
}

export class PinnedWindows {
	private readonly db: Database;

	constructor(db: Database) {
		this.db = db;
	}

	/** Those that records after `seq` have pinned, first to last, some of them. */
	after(seq: number): PinnedWindow[] {
		const select = `SELECT pinned_by AS seq, boot, max(to_ms) AS toMs FROM ring
			WHERE pinned_by > ? GROUP BY pinned_by, boot ORDER BY pinned_by LIMIT ${WINDOWS_LISTED}`;
		return this.db.prepare(select).all(seq) as PinnedWindow[];
	}

	/** Ids of a window's rows, first to last. */
	rowsOf(seq: number): number[] {
		const select = "SELECT id FROM ring WHERE pinned_by = ? ORDER BY id";
		return this.db.prepare(select).pluck().all(seq) as number[];
	}

	/** Undefined when newer windows have made it go. */
	row(id: number): RingRow | undefined {
		const select = `SELECT boot, from_ms AS fromMs, to_ms AS toMs, state, inputs FROM ring
			WHERE id = ?`;
		return this.db.prepare(select).get(id) as RingRow | undefined;
	}

	/** Null where it is not known. */
	originOf(boot: number): string | null {
		const select = "SELECT body FROM origins JOIN boots ON origin = hash WHERE boot = ?";
		return (this.db.prepare(select).pluck().get(boot) as string | undefined) ?? null;
	}

	/** To be called in the transaction of the boot's first record. */
	keepOrigin({ boot, body }: BootOrigin): void {
		const hash = createHash("sha256").update(body).digest("hex");
		this.db.prepare("INSERT OR IGNORE INTO origins VALUES (?, ?)").run(hash, body);
		this.db.prepare("INSERT OR REPLACE INTO boots VALUES (?, ?)").run(boot, hash);
	}
}
