// The record store's file: schema, pragmas, writes and reads. SQLite in WAL mode with
// synchronous=FULL, so that a committed record survives a power cut. Used by the store's worker
// thread alone.

import { randomUUID } from "node:crypto";
import { dirname } from "node:path";
import Database from "better-sqlite3";
import { messageOf } from "../config/input-error.ts";
import { chained, type StoredRecord } from "./chain.ts";
import { setAside, syncFolder } from "./folder.ts";
import { type BootOrigin, ORIGIN_TABLES, PinnedWindows } from "./pinned-windows.ts";
import type { LogRecord } from "./record.ts";
import { readRecord, textOf } from "./record-text.ts";
import { DECISIONS_KEPT } from "./recovery.ts";
import {
	APPLICATION_ID,
	BrokenStore,
	checkHeader,
	checkSound,
	judged,
	readOtherwise,
	readThrough,
	refuseOther,
	SCHEMA_VERSION,
} from "./soundness.ts";
import { Thinning } from "./thinning.ts";

export { chained, type StoredRecord } from "./chain.ts";

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

/** Without it each second's write would read all the rows that are kept; a file may lack it. */
const INDEX = "CREATE INDEX IF NOT EXISTS ring_pins ON ring (pinned_by, boot, to_ms);";

const LATER = INDEX + ORIGIN_TABLES;

/** Of these a restart has to know what a repeated command asks for; a client may write many. */
const DECISIONS = `('stop', 'clock', 'drained', 'acknowledge', 'acknowledge-refused',
	'order-refused', 'plan-refused', 'arming-refused', 'proof-begun', 'proof-answer',
	'proof-refused')`;

/** Of each step the newest that passed, that failed and that says nothing: there may be many. */
const LAST_PROOFS = `SELECT max(seq) FROM records WHERE kind = 'proof'
	GROUP BY json_extract(body, '$.step'), json_extract(body, '$.passed'),
		json_extract(body, '$.counts')`;

const MEGABYTE = 1_000_000;
/** Size from which samples are thinned, when nobody says another. */
export const BYTES_MAX_DEFAULT = 256 * MEGABYTE;

/** How long the tick inputs are kept before anything pins them, ms. */
const RING_MS = 600_000;
/** Rows kept for trips and orders, at most: twenty windows of ten minutes. */
const PINNED_ROWS_MAX = 12_000;
/** Of a row of the ring, about: nearly all of it is the controller's state. */
const RING_ROW_BYTES = 8_000;
/** What the pinned ones may take of a store: a window of ten minutes in the smallest. */
const RING_SHARE = 1 / 3;

/** After so many commits, or bytes of text, what they wrote goes from WAL to database. */
const CHECKPOINT_COMMITS = 250;
const CHECKPOINT_BYTES = 2 * MEGABYTE;

/** A second of tick inputs: the state before the first, and the inputs deflated. */
export interface RingRow {
	readonly boot: number;
	readonly fromMs: number;
	readonly toMs: number;
	readonly state: string;
	readonly inputs: Uint8Array;
}

/** The newest record of a store; noughts when it has none. */
export interface LastRecord {
	readonly seq: number;
	readonly boot: number;
}

export class StoreFile {
	readonly storeId: string;
	readonly windows: PinnedWindows;
	private readonly db: Database.Database;
	private readonly file: string;
	private readonly thinning: Thinning;
	private readonly insertRecord: Database.Statement;
	private readonly insertRing: Database.Statement;
	private readonly pinnedMax: number;
	private readonly checkpointBytes: number;
	private chain: string;
	/** Since the last checkpoint. */
	private commits = 0;
	private bytes = 0;

	/**
	 * @param bytesMax size from which the samples of closed runs are thinned
	 * @throws RefusedStore when the file is not ours to use, BrokenStore when it cannot be relied on,
	 * Error when the disk does not let it be opened
	 */
	constructor(file: string, bytesMax = BYTES_MAX_DEFAULT) {
		this.file = file;
		this.db = opened(file);
		try {
			this.prepare();
			this.storeId = this.meta("storeId");
			checkSound(this.db, this.storeId);
			const ringRows = Math.floor((RING_SHARE * bytesMax) / RING_ROW_BYTES);
			this.pinnedMax = Math.min(PINNED_ROWS_MAX, ringRows);
			this.checkpointBytes = Math.min(CHECKPOINT_BYTES, bytesMax / 8);
			this.windows = new PinnedWindows(this.db);
			this.thinning = new Thinning(this.db, bytesMax);
			this.insertRecord = this.db.prepare("INSERT INTO records VALUES (?, ?, ?, ?, ?, ?)");
			this.insertRing = this.db.prepare(
				"INSERT INTO ring (boot, from_ms, to_ms, state, inputs) VALUES (?, ?, ?, ?, ?)",
			);
			const last = this.db.prepare("SELECT chain FROM records ORDER BY seq DESC LIMIT 1");
			this.chain = (last.pluck().get() as string | undefined) ?? this.storeId;
		} catch (error) {
			const fault = judged(error);
			if (fault instanceof BrokenStore) this.closeBroken(fault);
			this.db.close();
			throw fault;
		}
	}

	/**
	 * Writes all of it in one transaction; durable when this returns.
	 * @param origin with what a boot decides; null when that was written before
	 */
	write(
		records: readonly LogRecord[],
		ring: readonly RingRow[],
		origin: BootOrigin | null = null,
	): void {
		let { chain, bytes } = this;
		this.db.transaction(() => {
			if (origin !== null) this.windows.keepOrigin(origin);
			for (const record of records) {
				const json = textOf(record);
				chain = chained(chain, json);
				bytes += json.length;
				this.insertRecord.run(record.seq, record.boot, record.monoMs, record.kind, json, chain);
			}
			for (const { boot, fromMs, toMs, state, inputs } of ring) {
				bytes += state.length + inputs.length;
				this.insertRing.run(boot, fromMs, toMs, state, inputs);
			}
			for (const { kind, seq, boot } of records) {
				if (kind === "trip" || kind === "order") this.pin(boot, seq);
				// The run was the boot's before: its last ticks are what one wants to see.
				else if (kind === "interrupted") this.pin(boot - 1, seq);
			}
			this.forgetRing(ring.at(-1));
		})();
		this.chain = chain;
		this.bytes = bytes;
		this.commits += 1;
		this.thinning.note(records);
	}

	/** Whether there is work that can wait: a checkpoint, or samples to thin. */
	isUntidy(): boolean {
		return this.isCheckpointDue() || this.thinning.isDue();
	}

	/**
	 * Does one piece of that work: some milliseconds and a sync or two.
	 * @throws Error when the disk does not take it. SQLite's own checkpoints would keep silent.
	 */
	tidy(): void {
		if (this.isCheckpointDue()) {
			this.db.pragma("wal_checkpoint(PASSIVE)");
			this.commits = 0;
			this.bytes = 0;
		} else if (this.thinning.isDue()) {
			this.bytes += this.thinning.step();
			this.commits += 1;
		}
	}

	/** Bytes of the file that hold something. */
	usedBytes(): number {
		return this.thinning.usedBytes();
	}

	/**
	 * Records from `from` on, at most `max`. A digest stands for each of its samples: it comes first
	 * where `from` is one of them.
	 */
	read(from: number, max: number): StoredRecord[] {
		const select =
			"SELECT seq, body AS json, chain FROM records WHERE seq >= ? ORDER BY seq LIMIT ?";
		return this.db.prepare(select).all(from, max) as StoredRecord[];
	}

	/**
	 * Everything that a restart has to know: all but samples and digests, the last sample, and of
	 * commands that began nothing the newest, lest one bad client fill the memory of every boot to
	 * come. What a newer controller wrote, in a kind or version unknown here, is left out.
	 * @throws BrokenStore when a record is not what its kind says
	 */
	history(): LogRecord[] {
		const oldest = `SELECT seq FROM records WHERE kind IN ${DECISIONS}
			ORDER BY seq DESC LIMIT 1 OFFSET ${DECISIONS_KEPT - 1}`;
		const select = `SELECT body FROM records WHERE kind NOT IN ('sample', 'digest')
				AND (kind NOT IN ${DECISIONS} OR seq >= ifnull((${oldest}), 0))
				AND (kind <> 'proof' OR seq IN (${LAST_PROOFS}))
			OR seq = (SELECT max(seq) FROM records WHERE kind = 'sample') ORDER BY seq`;
		const rows = this.db.prepare(select).all() as Array<{ body: string }>;
		try {
			return rows.flatMap(({ body }) => readRecord(body) ?? []);
		} catch (error) {
			const why = messageOf(error);
			throw new BrokenStore(`a record cannot be read: ${why}`);
		}
	}

	/** The newest record, whether this program knows its kind or not. */
	last(): LastRecord {
		const select = "SELECT seq, boot FROM records ORDER BY seq DESC LIMIT 1";
		const row = this.db.prepare(select).get() as LastRecord | undefined;
		return row ?? { seq: 0, boot: 0 };
	}

	/** Keeps the ring of that boot with record `seq`; the oldest windows make room. */
	pin(boot: number, seq: number): void {
		const update = "UPDATE ring SET pinned_by = ? WHERE boot = ? AND pinned_by IS NULL";
		this.db.prepare(update).run(seq, boot);
		const cap = `DELETE FROM ring WHERE pinned_by IS NOT NULL
			AND id <= (SELECT id FROM ring WHERE pinned_by IS NOT NULL
				ORDER BY pinned_by DESC, boot DESC, to_ms DESC LIMIT 1 OFFSET ${this.pinnedMax})`;
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

	/**
	 * Ends a store that was found broken, and finds it so again. It gets its other name before it is
	 * closed: closing writes the WAL into the database and deletes it, but SQLite leaves both alone
	 * when the database has moved.
	 * @throws BrokenStore `fault`, or Error when it cannot be read or reads well at second sight
	 */
	closeBroken(fault: BrokenStore): never {
		try {
			readThrough(this.file);
			// Forgets what was read.
			this.db.pragma("shrink_memory");
			if (this.isSound()) throw readOtherwise(fault);
			setAside(this.file);
		} finally {
			this.db.close();
		}
		throw fault;
	}

	private isSound(): boolean {
		try {
			this.prepare();
			checkSound(this.db, this.meta("storeId"));
			this.history();
			return true;
		} catch (error) {
			const again = judged(error);
			if (again instanceof BrokenStore) return false;
			throw again;
		}
	}

	/** Makes the tables where there are none, and sees that the file is written as it must be. */
	private prepare(): void {
		this.set("locking_mode", "EXCLUSIVE", "exclusive");
		// A file that is mapped would be written without a call that can fail.
		this.set("mmap_size", "0", 0);
		const isNew =
			this.db.prepare("SELECT count(*) FROM sqlite_master").pluck().get() === 0 &&
			this.number("application_id") === 0;
		if (!isNew) refuseOther(this.number("application_id"), this.number("user_version"));
		this.set("journal_mode", "WAL", "wal");
		this.set("synchronous", "FULL", 2);
		this.set("wal_autocheckpoint", "0", 0);
		if (isNew) this.create();
		else if (this.number("user_version") < SCHEMA_VERSION) {
			this.db.pragma(`user_version = ${SCHEMA_VERSION}`);
		}
		if (!isNew) this.db.exec(LATER);
		// The write-ahead log is a new file at each opening. SQLite syncs the folder for it, but says
		// nothing when that fails.
		const folder = dirname(this.file);
		syncFolder(folder);
		if (isNew) syncFolder(dirname(folder));
	}

	/** Sets a pragma and reads it back: SQLite ignores what it cannot do, and says nothing. */
	private set(name: string, value: string, expected: unknown): void {
		this.db.pragma(`${name} = ${value}`);
		const found = this.db.pragma(name, { simple: true });
		if (found !== expected) throw new Error(`the file does not take ${name}=${value}`);
	}

	private number(pragma: string): number {
		return Number(this.db.pragma(pragma, { simple: true }));
	}

	private create(): void {
		this.db.transaction(() => {
			this.db.exec(SCHEMA);
			this.db.exec(LATER);
			this.db.prepare("INSERT INTO meta VALUES ('storeId', ?)").run(randomUUID());
			this.db.pragma(`application_id = ${APPLICATION_ID}`);
			this.db.pragma(`user_version = ${SCHEMA_VERSION}`);
		})();
	}

	private isCheckpointDue(): boolean {
		return this.commits >= CHECKPOINT_COMMITS || this.bytes >= this.checkpointBytes;
	}

	private meta(key: string): string {
		const row = this.db.prepare("SELECT value FROM meta WHERE key = ?").get(key);
		if (row === undefined) throw new BrokenStore(`it has no ${key}`);
		return (row as { value: string }).value;
	}

	private forgetRing(latest: RingRow | undefined): void {
		if (latest === undefined) return;
		const forget = "DELETE FROM ring WHERE pinned_by IS NULL AND (boot < ? OR to_ms < ?)";
		this.db.prepare(forget).run(latest.boot, latest.toMs - RING_MS);
	}
}

function opened(file: string): Database.Database {
	try {
		checkHeader(file);
		return new Database(file);
	} catch (error) {
		throw judged(error);
	}
}
