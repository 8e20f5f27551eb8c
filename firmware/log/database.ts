// The record store's file: schema, pragmas, chain. SQLite in WAL mode with synchronous=FULL, so
// that a committed record survives a power cut. Used by the store's worker thread alone.

import { createHash, randomUUID } from "node:crypto";
import Database from "better-sqlite3";
import type { LogRecord } from "./record.ts";
import { readRecord, textOf } from "./record-text.ts";

const SCHEMA_VERSION = 1;
/** "LEES" as a number: tells a store from any other SQLite file. */
const APPLICATION_ID = 0x4c454553;

const SCHEMA = `
	CREATE TABLE meta (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT;
	CREATE TABLE records (
		seq INTEGER PRIMARY KEY,
		boot INTEGER NOT NULL,
		mono_ms INTEGER NOT NULL,
		kind TEXT NOT NULL,
		body TEXT NOT NULL,
		chain TEXT NOT NULL
	) STRICT;
	CREATE TABLE ring (
		id INTEGER PRIMARY KEY,
		boot INTEGER NOT NULL,
		from_ms INTEGER NOT NULL,
		to_ms INTEGER NOT NULL,
		state TEXT NOT NULL,
		inputs BLOB NOT NULL,
		pinned_by INTEGER
	) STRICT;
`;

/** How long the tick inputs are kept before anything pins them, ms. */
const RING_MS = 600_000;
/** Rows kept for trips and orders, some 3 kB each: twenty windows of ten minutes. */
const PINNED_ROWS_MAX = 12_000;

/** A second of tick inputs: the state before the first, and the inputs deflated. */
export interface RingRow {
	readonly boot: number;
	readonly fromMs: number;
	readonly toMs: number;
	readonly state: string;
	readonly inputs: Uint8Array;
}

/** One record as it is stored and sent: its JSON and the chain up to it. */
export interface StoredRecord {
	readonly seq: number;
	readonly json: string;
	readonly chain: string;
}

/** SHA-256 over the chain before and the record's JSON, the first 16 bytes in hexadecimal. */
export function chained(before: string, json: string): string {
	return createHash("sha256").update(before).update(json).digest("hex").slice(0, 32);
}

export class StoreFile {
	readonly storeId: string;
	private readonly db: Database.Database;
	private chain: string;

	/** @throws Error when the file is no store, or of a newer version, or cannot be written */
	constructor(file: string) {
		this.db = new Database(file);
		this.db.pragma("locking_mode = EXCLUSIVE");
		const tables = this.db.prepare("SELECT count(*) AS n FROM sqlite_master").get() as {
			n: number;
		};
		const isNew = tables.n === 0;
		if (!isNew && this.db.pragma("application_id", { simple: true }) !== APPLICATION_ID) {
			throw new Error("it is a database, but no record store");
		}
		this.db.pragma("journal_mode = WAL");
		this.db.pragma("synchronous = FULL");
		if (this.db.pragma("synchronous", { simple: true }) !== 2) {
			throw new Error("the file does not take synchronous=FULL");
		}
		if (isNew) this.create();
		const version = this.db.pragma("user_version", { simple: true });
		if (version !== SCHEMA_VERSION) throw new Error(`it has version ${version}, not 1`);
		this.storeId = this.meta("storeId");
		const last = this.db.prepare("SELECT chain FROM records ORDER BY seq DESC LIMIT 1").get();
		this.chain = (last as { chain: string } | undefined)?.chain ?? this.storeId;
	}

	/** Writes all of it in one transaction; durable when this returns. */
	write(records: readonly LogRecord[], ring: readonly RingRow[]): void {
		let chain = this.chain;
		this.db.transaction(() => {
			const insert = this.db.prepare("INSERT INTO records VALUES (?, ?, ?, ?, ?, ?)");
			for (const record of records) {
				const json = textOf(record);
				chain = chained(chain, json);
				insert.run(record.seq, record.boot, record.monoMs, record.kind, json, chain);
			}
			this.writeRing(ring);
			for (const { kind, seq, boot } of records) {
				if (kind === "trip" || kind === "order") this.pin(boot, seq);
				// The run was the boot's before: its last ticks are what one wants to see.
				else if (kind === "interrupted") this.pin(boot - 1, seq);
			}
			this.forgetRing(ring.at(-1));
		})();
		this.chain = chain;
	}

	/** Records from `from` on, at most `max`. */
	read(from: number, max: number): StoredRecord[] {
		const select =
			"SELECT seq, body AS json, chain FROM records WHERE seq >= ? ORDER BY seq LIMIT ?";
		return this.db.prepare(select).all(from, max) as StoredRecord[];
	}

	/** Everything that a restart has to know: all but the samples, and the last of those. */
	history(): LogRecord[] {
		const select = `SELECT body FROM records WHERE kind <> 'sample'
			OR seq = (SELECT max(seq) FROM records WHERE kind = 'sample') ORDER BY seq`;
		const rows = this.db.prepare(select).all() as Array<{ body: string }>;
		return rows.flatMap(({ body }) => readRecord(body) ?? []);
	}

	/** Keeps the ring of that boot with record `seq`; the oldest windows make room. */
	pin(boot: number, seq: number): void {
		const update = "UPDATE ring SET pinned_by = ? WHERE boot = ? AND pinned_by IS NULL";
		this.db.prepare(update).run(seq, boot);
		const cap = `DELETE FROM ring WHERE pinned_by IS NOT NULL
			AND id <= (SELECT id FROM ring WHERE pinned_by IS NOT NULL ORDER BY id DESC
				LIMIT 1 OFFSET ${PINNED_ROWS_MAX})`;
		this.db.prepare(cap).run();
	}

	/** The tick inputs that a record has pinned, first to last. */
	pinned(seq: number): RingRow[] {
		const select = `SELECT boot, from_ms AS fromMs, to_ms AS toMs, state, inputs FROM ring
			WHERE pinned_by = ? ORDER BY id`;
		return this.db.prepare(select).all(seq) as RingRow[];
	}

	close(): void {
		this.db.close();
	}

	private create(): void {
		this.db.transaction(() => {
			this.db.exec(SCHEMA);
			this.db.prepare("INSERT INTO meta VALUES ('storeId', ?)").run(randomUUID());
			this.db.pragma(`application_id = ${APPLICATION_ID}`);
			this.db.pragma(`user_version = ${SCHEMA_VERSION}`);
		})();
	}

	private meta(key: string): string {
		const row = this.db.prepare("SELECT value FROM meta WHERE key = ?").get(key);
		return (row as { value: string }).value;
	}

	private writeRing(ring: readonly RingRow[]): void {
		const insert = this.db.prepare(
			"INSERT INTO ring (boot, from_ms, to_ms, state, inputs) VALUES (?, ?, ?, ?, ?)",
		);
		for (const { boot, fromMs, toMs, state, inputs } of ring) {
			insert.run(boot, fromMs, toMs, state, inputs);
		}
	}

	private forgetRing(latest: RingRow | undefined): void {
		if (latest === undefined) return;
		const forget = "DELETE FROM ring WHERE pinned_by IS NULL AND (boot < ? OR to_ms < ?)";
		this.db.prepare(forget).run(latest.boot, latest.toMs - RING_MS);
	}
}
