// Records on their way into the archive: the chain is followed over each, what is there already is
// left out, samples in a row are packed, and the five-minute sums go with them. Runs inside a
// transaction that the caller owns. Imports firmware's log entries and better-sqlite3's types.

import type Database from "better-sqlite3";
import { chained } from "../../firmware/log/chain.ts";
import { type Digest, isSealed } from "../../firmware/log/digest.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { readRecord } from "../../firmware/log/record-text.ts";
import { MONO, runFrom, SampleRun } from "../../firmware/log/sample-columns.ts";
import { chainAt } from "./record-reading.ts";
import { quantityNames, Rollup, type TallyState } from "./rollup.ts";

/** Records in a row as they came: texts, and packed samples. */
export interface Arrived {
	readonly items: ReadonlyArray<string | SampleRun>;
	/** Chain value over the last of them. */
	readonly chain: string;
}

/** Samples that one packed row holds at most. */
const STRETCH_MAX = 900;

/** Where a store's records end in the archive. */
export interface StoreEnd {
	readonly seq: number;
	readonly chain: string;
}

/** Thrown where records do not follow what is there: the caller says of which file. */
export class BrokenChain extends Error {}

interface Head {
	readonly seq: number;
	readonly boot: number;
	readonly monoMs: number;
	readonly kind: string;
}

const HEAD =
	/^\{"seq":(\d{1,15}),"boot":(\d{1,15}),"monoMs":(\d{1,15}),(?:"v":\d+,)?"kind":"([a-z-]+)"/;

interface StoreRow {
	id: number;
	last_seq: number;
	last_chain: string;
	run_motor_ms: number;
	run_pulses: number;
	unordered_motor_ms: number;
	unordered_pulses: number;
}

export class RecordImport {
	private readonly db: Database.Database;

	constructor(db: Database.Database) {
		this.db = db;
	}

	/** The last record of that store, or null. */
	last(storeId: string): StoreEnd | null {
		const select = "SELECT last_seq AS seq, last_chain AS chain FROM stores WHERE store_id = ?";
		const row = this.db.prepare(select).get(storeId) as StoreEnd | undefined;
		return row === undefined || row.seq === 0 ? null : row;
	}

	/**
	 * Takes what follows the last record of the store.
	 * @returns how many records were new
	 * @throws BrokenChain when there is a gap, or the chain does not come out as told
	 */
	take(storeId: string, ...batches: readonly Arrived[]): number {
		const row = this.storeRow(storeId);
		const taking = new Taking(this.db, row);
		for (const batch of batches) taking.take(batch);
		return taking.end();
	}

	/** The number of that store; one that is new gets one. */
	storeOf(storeId: string): number {
		return this.storeRow(storeId).id;
	}

	private storeRow(storeId: string): StoreRow {
		const insert = `INSERT OR IGNORE INTO stores (store_id, last_seq, last_chain, run_motor_ms,
			run_pulses, unordered_motor_ms, unordered_pulses) VALUES (?, 0, ?, 0, 0, 0, 0)`;
		this.db.prepare(insert).run(storeId, storeId);
		const select = "SELECT * FROM stores WHERE store_id = ?";
		return this.db.prepare(select).get(storeId) as StoreRow;
	}
}

/** One store's records under way; its end is written by `end`. */
class Taking {
	private readonly db: Database.Database;
	private readonly store: number;
	private readonly tally: TallyState;
	private readonly rollup: Rollup;
	private readonly insertText: Database.Statement;
	private readonly insertStretch: Database.Statement;
	private seq: number;
	private chain: string;
	private taken = 0;
	/** Samples that came as texts and wait for more. */
	private waiting: SampleRun | null = null;
	/** Over the last of those. */
	private waitingChain = "";

	constructor(db: Database.Database, row: StoreRow) {
		this.db = db;
		this.store = row.id;
		this.seq = row.last_seq;
		this.chain = row.last_chain;
		this.tally = {
			run: { motorMs: row.run_motor_ms, pulses: row.run_pulses },
			unordered: { motorMs: row.unordered_motor_ms, pulses: row.unordered_pulses },
		};
		this.rollup = new Rollup(this.tally);
		this.insertText = db.prepare("INSERT INTO texts VALUES (?, ?, ?, ?, ?, ?, ?)");
		this.insertStretch = db.prepare(`INSERT INTO stretches
			(store, from_seq, to_seq, boot, to_ms, columns, chain) VALUES (?, ?, ?, ?, ?, ?, ?)`);
	}

	take({ items, chain }: Arrived): void {
		const before = this.seq;
		for (const item of items) {
			if (typeof item === "string") this.takeText(item);
			else this.takeRun(item);
		}
		if (this.seq > before && this.chain !== chain) {
			throw new BrokenChain(`records ${before + 1} to ${this.seq} do not follow by their chain`);
		}
	}

	end(): number {
		this.flush();
		this.rollup.write(this.db, this.store);
		const { run, unordered } = this.tally;
		const update = `UPDATE stores SET last_seq = ?, last_chain = ?, run_motor_ms = ?,
			run_pulses = ?, unordered_motor_ms = ?, unordered_pulses = ? WHERE id = ?`;
		this.db
			.prepare(update)
			.run(
				this.seq,
				this.chain,
				run.motorMs,
				run.pulses,
				unordered.motorMs,
				unordered.pulses,
				this.store,
			);
		return this.taken;
	}

	private takeText(text: string): void {
		const head = headOf(text);
		if (head.seq <= this.seq) return;
		if (head.kind === "digest") {
			this.takeDigest(text, head);
			return;
		}
		this.follow(head.seq, text);
		if (head.kind === "sample" && this.hold(text)) return;
		this.flush();
		this.insert(head, text);
		const record = recordIn(text);
		if (record !== null) this.rollup.add(record);
	}

	private takeRun(run: SampleRun): void {
		const toSeq = run.fromSeq + run.length - 1;
		if (toSeq <= this.seq) return;
		const from = Math.max(0, this.seq + 1 - run.fromSeq);
		for (let i = from; i < run.length; i += 1) this.follow(run.fromSeq + i, run.text(i));
		this.holdRun(run, from);
	}

	/** A window of the link brings many short runs: joined, they are fewer rows. */
	private holdRun(run: SampleRun, from: number): void {
		const { waiting } = this;
		const isNext = waiting !== null && waiting.boot === run.boot;
		if (!isNext || waiting.length + run.length > STRETCH_MAX) {
			this.flush();
			this.waiting = new SampleRun(run.fromSeq + from, run.boot);
		}
		this.waiting?.columns.forEach((column, i) => {
			const more = run.columns[i] ?? [];
			for (let at = from; at < more.length; at += 1) column.push(more[at] ?? 0);
		});
		this.waitingChain = this.chain;
	}

	/** A digest ends the chain where its samples did; those that are here already stay. */
	private takeDigest(text: string, head: Head): void {
		const digest = recordIn(text) as Digest | null;
		if (digest === null || !isSealed(digest)) {
			throw new BrokenChain(`the digest at ${head.seq} is not as it was sealed`);
		}
		const { fromSeq, chainBefore, chainAfter } = digest;
		this.flush();
		const isNext = fromSeq <= this.seq + 1;
		if (!isNext || this.chainBefore(fromSeq) !== chainBefore) {
			throw new BrokenChain(`the digest of ${fromSeq} to ${head.seq} does not follow`);
		}
		this.taken += head.seq - this.seq;
		const missing = this.seq + 1;
		this.seq = head.seq;
		this.chain = chainAfter;
		this.insert(head, text);
		this.rollup.add(restOf(digest, missing));
	}

	/** Where the chain stood before that record. */
	private chainBefore(seq: number): string | null {
		return seq === this.seq + 1 ? this.chain : chainAt(this.db, this.store, seq - 1);
	}

	private follow(seq: number, text: string): void {
		if (seq !== this.seq + 1) {
			throw new BrokenChain(`record ${seq} does not follow record ${this.seq}`);
		}
		this.chain = chained(this.chain, text);
		this.seq = seq;
		this.taken += 1;
	}

	/** @returns false for a sample that does not pack */
	private hold(text: string): boolean {
		const { waiting } = this;
		if (waiting === null || waiting.length >= STRETCH_MAX || !waiting.add(text)) {
			this.flush();
			const fresh = runFrom(text);
			if (fresh === null || !fresh.add(text)) return false;
			this.waiting = fresh;
		}
		this.waitingChain = this.chain;
		return true;
	}

	private flush(): void {
		const { waiting } = this;
		if (waiting === null) return;
		this.waiting = null;
		this.insertRun(waiting, this.waitingChain);
	}

	private insertRun(run: SampleRun, chain: string): void {
		const toMs = run.columns[MONO]?.at(-1) ?? 0;
		const toSeq = run.fromSeq + run.length - 1;
		this.insertStretch.run(this.store, run.fromSeq, toSeq, run.boot, toMs, run.pack(), chain);
		this.rollup.addRun(run);
	}

	private insert({ seq, boot, monoMs, kind }: Head, text: string): void {
		this.insertText.run(this.store, seq, boot, monoMs, kind, text, this.chain);
	}
}

function headOf(text: string): Head {
	const found = HEAD.exec(text);
	if (found === null) throw new BrokenChain("a text that is no record");
	const [, seq, boot, monoMs, kind] = found;
	return { seq: Number(seq), boot: Number(boot), monoMs: Number(monoMs), kind: kind ?? "" };
}

/** Null for what this program does not know: it is kept, and read by one that does. */
function recordIn(text: string): LogRecord | null {
	try {
		return readRecord(text);
	} catch {
		throw new BrokenChain(`a record that says what its kind does not: ${text.slice(0, 80)}`);
	}
}

/** What a digest tells of its samples from `seq` on: an even share of it. */
function restOf(digest: Digest, seq: number): Digest {
	const { fromSeq, fromMs, monoMs } = digest;
	if (seq === fromSeq) return digest;
	const share = (digest.seq - seq + 1) / (digest.seq - fromSeq + 1);
	const rest = { ...digest, fromSeq: seq, fromMs: Math.ceil(monoMs - share * (monoMs - fromMs)) };
	for (const name of quantityNames) {
		const of = digest[name];
		if (of !== null) rest[name] = { ...of, known: share * of.known };
	}
	return rest;
}
