// Lets the oldest samples of a store go when it has reached a set size: stretch by stretch, each
// replaced by one digest in one short transaction. Runs that may still be asked for stay: one that
// is open, and the newest boot's last. Totals and events stay always. The store's thread alone.

import type { Database, Statement } from "better-sqlite3";
import { DIGEST_SAMPLES_MAX, digestOf, type Sample } from "./digest.ts";
import type { LogRecord } from "./record.ts";
import { readRecord, textOf } from "./record-text.ts";

/** A digest takes about as much room as so many samples: fewer gain nothing. */
const SAMPLES_MIN = 4;
/** What is thinned at once: to this share of the set size. */
const THINNED_SHARE = 0.9;

interface Row {
	readonly seq: number;
	readonly boot: number;
	readonly json: string;
	readonly chain: string;
}

export class Thinning {
	private readonly db: Database;
	private readonly bytesMax: number;
	private readonly statements: Record<"pages" | "free" | "before" | "next" | "drop", Statement>;
	private readonly insert: Statement;
	private readonly pageBytes: number;
	/** Everything up to here is thinned as far as it goes. */
	private doneSeq = 0;
	private newestBoot: number;
	private lastRun: { seq: number; boot: number };
	private lastEndSeq: number;
	private isThinning = false;

	constructor(db: Database, bytesMax: number) {
		this.db = db;
		this.bytesMax = bytesMax;
		this.pageBytes = Number(db.pragma("page_size", { simple: true }));
		this.statements = {
			pages: db.prepare("PRAGMA page_count").pluck(),
			free: db.prepare("PRAGMA freelist_count").pluck(),
			before: db.prepare("SELECT chain FROM records WHERE seq = ?").pluck(),
			next: db.prepare(`SELECT seq, boot, body AS json, chain FROM records
				WHERE seq > ? AND seq < ? AND kind = 'sample' ORDER BY seq LIMIT ?`),
			drop: db.prepare("DELETE FROM records WHERE seq BETWEEN ? AND ?"),
		};
		this.insert = db.prepare("INSERT INTO records VALUES (?, ?, ?, ?, ?, ?)");
		const latest = (kinds: string) =>
			db.prepare(`SELECT seq, boot FROM records WHERE ${kinds} ORDER BY seq DESC LIMIT 1`).get() as
				| { seq: number; boot: number }
				| undefined;
		this.newestBoot = latest("true")?.boot ?? 0;
		this.lastRun = latest("kind = 'run-begin'") ?? { seq: 0, boot: 0 };
		this.lastEndSeq = latest("kind IN ('run-end', 'interrupted')")?.seq ?? 0;
	}

	/** Learns from what was written which runs are closed. */
	note(records: readonly LogRecord[]): void {
		for (const { kind, seq, boot } of records) {
			this.newestBoot = boot;
			if (kind === "run-begin") this.lastRun = { seq, boot };
			else if (kind === "run-end" || kind === "interrupted") this.lastEndSeq = seq;
		}
	}

	/** Bytes of the file that hold something. */
	usedBytes(): number {
		const { pages, free } = this.statements;
		return (Number(pages.get()) - Number(free.get())) * this.pageBytes;
	}

	isDue(): boolean {
		const used = this.usedBytes();
		if (used >= this.bytesMax) this.isThinning = true;
		else if (used < THINNED_SHARE * this.bytesMax) this.isThinning = false;
		return this.isThinning && this.doneSeq < this.endSeq();
	}

	/**
	 * Replaces the oldest stretch by its digest, if there is one; durable when this returns.
	 * @returns bytes of text that went
	 */
	step(): number {
		const end = this.endSeq();
		const { before, next, drop } = this.statements;
		const rows = next.all(this.doneSeq, end, DIGEST_SAMPLES_MAX) as Row[];
		const [first] = rows;
		if (first === undefined) {
			this.doneSeq = end;
			return 0;
		}
		const gap = rows.findIndex(({ seq, boot }, i) => seq !== first.seq + i || boot !== first.boot);
		const stretch = gap < 0 ? rows : rows.slice(0, gap);
		const last = stretch.at(-1) ?? first;
		const samples = stretch.flatMap(({ json }) => sampleIn(json) ?? []);
		this.doneSeq = last.seq;
		// One in a version that this program does not know keeps its neighbours.
		if (samples.length < stretch.length || samples.length < SAMPLES_MIN) return 0;
		const chainBefore = (before.get(first.seq - 1) as string | undefined) ?? this.storeId();
		const digest = digestOf(samples, chainBefore, last.chain);
		const { seq, boot, monoMs, kind } = digest;
		this.db.transaction(() => {
			drop.run(first.seq, last.seq);
			this.insert.run(seq, boot, monoMs, kind, textOf(digest), last.chain);
		})();
		return stretch.reduce((bytes, { json }) => bytes + json.length, 0);
	}

	/** Samples from here on stay: nothing of an open run comes before the last end of one. */
	private endSeq(): number {
		const { lastRun, lastEndSeq, newestBoot } = this;
		return lastRun.boot === newestBoot ? Math.min(lastRun.seq, lastEndSeq) : lastEndSeq;
	}

	private storeId(): string {
		return this.db.prepare("SELECT value FROM meta WHERE key = 'storeId'").pluck().get() as string;
	}
}

function sampleIn(json: string): Sample | null {
	const record = readRecord(json);
	return record?.kind === "sample" ? record : null;
}
