// The laptop's archive: records of many rigs, each stored once under (storeId, seq) as the
// controller chained it, clocks that were held against them, and people's notes. One SQLite file.

import type Database from "better-sqlite3";
import type { LogRecord } from "../../firmware/log/record.ts";
import type { Tally } from "../../firmware/totals.ts";
import { openArchiveFile, refusal } from "./archive-file.ts";
import type { BootSpan, Sighting } from "./dating.ts";
import { NoteBook } from "./note-book.ts";
import { PhotoBook } from "./photo-book.ts";
import { type Arrived, BrokenChain, RecordImport, type StoreEnd } from "./record-import.ts";
import { bootsOf, chainAt, eventsOf, historyOf, tallyAt, textsOf } from "./record-reading.ts";
import { type Bucket, type BucketRow, bucketOf, readBuckets } from "./rollup.ts";

/** A window of tick inputs: the record that has pinned it, and its last tick. */
export interface WindowName {
	readonly seq: number;
	readonly boot: number;
	readonly toMs: number;
}

export class Archive {
	readonly notes: NoteBook;
	readonly photos: PhotoBook;
	private readonly file: string;
	private readonly db: Database.Database;
	private readonly records: RecordImport;

	/** @throws InputError when the file is there and is no archive of a version known */
	constructor(file: string, { create }: { create: boolean }) {
		this.file = file;
		this.db = openArchiveFile(file, { create });
		this.records = new RecordImport(this.db);
		this.notes = new NoteBook(this.db);
		this.photos = new PhotoBook(this.db);
	}

	/** The last record of that store, or null: where a pull goes on. */
	last(storeId: string): StoreEnd | null {
		return this.records.last(storeId);
	}

	/**
	 * Stores what follows the last record, in one transaction; what is there already is left out.
	 * Durable when this returns.
	 * @returns how many records were new; those that a digest stands for count too
	 * @throws InputError when the chain does not hold; nothing of the batches is kept then
	 */
	add(storeId: string, ...batches: readonly Arrived[]): number {
		const take = this.db.transaction(() => this.records.take(storeId, ...batches));
		try {
			return take.immediate();
		} catch (error) {
			if (!(error instanceof BrokenChain)) throw error;
			throw refusal(this.file, error.message, "an unbroken chain");
		}
	}

	/** Identities of the stores in it, in the order in which they came. */
	stores(): string[] {
		const rows = this.db.prepare("SELECT store_id AS id FROM stores ORDER BY stores.id").all();
		return (rows as Array<{ id: string }>).map(({ id }) => id);
	}

	/** All records of a store but its samples, and the last sample, first to last. */
	history(storeId: string): LogRecord[] {
		return historyOf(this.db, this.store(storeId));
	}

	/** The texts of all records as they were chained, first to last. */
	texts(storeId: string, fromSeq = 1): Iterable<{ seq: number; text: string }> {
		return textsOf(this.db, this.store(storeId), fromSeq);
	}

	/** The texts of all records but samples and digests. */
	events(storeId: string): Array<{ seq: number; text: string }> {
		return eventsOf(this.db, this.store(storeId));
	}

	/** Chain value over that record; null when it is not here. */
	chainAt(storeId: string, seq: number): string | null {
		return chainAt(this.db, this.store(storeId), seq);
	}

	/**
	 * What a run had moved by that record, as the last sample before it tells.
	 * @param beginSeq the run's first record: null where no sample came since
	 */
	tallyAt(storeId: string, seq: number, beginSeq: number): Tally | null {
		return tallyAt(this.db, this.store(storeId), seq, beginSeq);
	}

	boots(storeId: string): BootSpan[] {
		return bootsOf(this.db, this.store(storeId));
	}

	/** Five-minute sums of all samples. */
	buckets(storeId: string): Bucket[] {
		return this.bucketRows(storeId).map(bucketOf);
	}

	/** The same as the table has them, to be summed up. */
	bucketRows(storeId: string): BucketRow[] {
		return readBuckets(this.db, this.store(storeId));
	}

	/** Keeps what a clock of ours showed beside the rig's; the same one twice is one. */
	sight(storeId: string, { boot, monoMs, utcMs, uncertaintyMs }: Sighting): void {
		const insert = "INSERT OR IGNORE INTO sightings VALUES (?, ?, ?, ?, ?)";
		const numbers = [boot, monoMs, utcMs, uncertaintyMs].map(Math.round);
		this.db.prepare(insert).run(this.records.storeOf(storeId), ...numbers);
	}

	/** Clocks of ours that were held against that store's. */
	sightings(storeId: string): Sighting[] {
		const select = `SELECT boot, mono_ms AS monoMs, utc_ms AS utcMs,
			uncertainty_ms AS uncertaintyMs FROM sightings WHERE store = ? ORDER BY boot, mono_ms`;
		return this.db.prepare(select).all(this.store(storeId)) as Sighting[];
	}

	/** Keeps the window that record `seq` has pinned; one that is there stays as it is. */
	keepWindow(storeId: string, { seq, boot, toMs }: WindowName, run: Uint8Array): void {
		const insert = "INSERT OR IGNORE INTO windows VALUES (?, ?, ?, ?, ?)";
		this.db.prepare(insert).run(this.store(storeId), seq, boot, toMs, run);
	}

	/** Windows of a store, first to last. */
	windows(storeId: string): WindowName[] {
		const select = "SELECT seq, boot, to_ms AS toMs FROM windows WHERE store = ? ORDER BY seq";
		return this.db.prepare(select).all(this.store(storeId)) as WindowName[];
	}

	/** A window as it came; null when it is not here. */
	window(storeId: string, seq: number): Uint8Array | null {
		const select = "SELECT run FROM windows WHERE store = ? AND seq = ?";
		const run = this.db.prepare(select).pluck().get(this.store(storeId), seq);
		return (run as Uint8Array | undefined) ?? null;
	}

	close(): void {
		this.db.close();
	}

	/** @throws InputError when no record of that store has come yet */
	private store(storeId: string): number {
		const row = this.db.prepare("SELECT id FROM stores WHERE store_id = ?").get(storeId);
		if (row === undefined) throw refusal(this.file, `no store ${storeId}`, "a store that is in it");
		return (row as { id: number }).id;
	}
}
