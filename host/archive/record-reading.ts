// Records out of the archive: as texts in their order, as records, and where boots and chains end.
// Imports firmware's log entries and better-sqlite3's types.

import type Database from "better-sqlite3";
import { chained } from "../../firmware/log/chain.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { readRecord } from "../../firmware/log/record-text.ts";
import { SampleRun } from "../../firmware/log/sample-columns.ts";
import type { Tally } from "../../firmware/totals.ts";
import type { BootSpan } from "./dating.ts";

interface Stretch {
	readonly fromSeq: number;
	readonly columns: Uint8Array;
	readonly chain: string;
}

interface TextRow {
	readonly seq: number;
	readonly body: string;
}

const unpack = ({ columns, fromSeq }: Stretch): SampleRun => SampleRun.unpack(columns, fromSeq);

/** Rows fetched at once: nothing else of the archive can be asked while a statement is iterated. */
const ROWS = 500;

/** All records of a store from `fromSeq` on, first to last. */
export function* textsOf(
	db: Database.Database,
	store: number,
	fromSeq = 1,
): Generator<{ seq: number; text: string }> {
	const texts = pages<TextRow>(db, store, fromSeq, "SELECT seq, body FROM texts", "seq", "seq");
	const stretches = pages<Stretch & { seq: number }>(
		db,
		store,
		fromSeq,
		"SELECT from_seq AS seq, from_seq AS fromSeq, columns, chain FROM stretches",
		"to_seq",
		"from_seq",
	);
	let text = texts.next().value;
	let stretch = stretches.next().value;
	while (text !== undefined || stretch !== undefined) {
		if (stretch === undefined || (text !== undefined && text.seq < stretch.seq)) {
			if (text !== undefined) yield { seq: text.seq, text: text.body };
			text = texts.next().value;
			continue;
		}
		const run = unpack(stretch);
		for (let i = Math.max(0, fromSeq - run.fromSeq); i < run.length; i += 1) {
			yield { seq: run.fromSeq + i, text: run.text(i) };
		}
		stretch = stretches.next().value;
	}
}

function* pages<Row extends { seq: number }>(
	db: Database.Database,
	store: number,
	fromSeq: number,
	select: string,
	first: string,
	order: string,
): Generator<Row, undefined> {
	const more = db.prepare(
		`${select} WHERE store = ? AND ${first} >= ? AND ${order} > ? ORDER BY ${order} LIMIT ${ROWS}`,
	);
	for (let after = 0; ; ) {
		const rows = more.all(store, fromSeq, after) as Row[];
		yield* rows;
		const last = rows.at(-1);
		if (last === undefined) return;
		after = last.seq;
	}
}

/** Chain value over that record; null when the archive does not hold it. */
export function chainAt(db: Database.Database, store: number, seq: number): string | null {
	const storeId = db.prepare("SELECT store_id AS id FROM stores WHERE id = ?").get(store);
	if (seq === 0) return (storeId as { id: string }).id;
	const text = db.prepare("SELECT chain FROM texts WHERE store = ? AND seq = ?").get(store, seq);
	if (text !== undefined) return (text as { chain: string }).chain;
	const stretch = stretchAt(db, store, seq);
	if (stretch === null) return null;
	const run = unpack(stretch);
	if (run.fromSeq + run.length - 1 === seq) return stretch.chain;
	let chain = chainAt(db, store, run.fromSeq - 1);
	for (let i = 0; chain !== null && run.fromSeq + i <= seq; i += 1) {
		chain = chained(chain, run.text(i));
	}
	return chain;
}

/** The packed samples that hold that record, or null. */
function stretchAt(db: Database.Database, store: number, seq: number): Stretch | null {
	const select = `SELECT from_seq AS fromSeq, columns, chain FROM stretches
		WHERE store = ? AND from_seq <= ? AND to_seq >= ? ORDER BY from_seq DESC LIMIT 1`;
	return (db.prepare(select).get(store, seq, seq) as Stretch | undefined) ?? null;
}

/** Texts of all records of a store but its samples and digests. */
export function eventsOf(
	db: Database.Database,
	store: number,
): Array<{ seq: number; text: string }> {
	const select = `SELECT seq, body AS text FROM texts
		WHERE store = ? AND kind NOT IN ('sample', 'digest') ORDER BY seq`;
	return db.prepare(select).all(store) as Array<{ seq: number; text: string }>;
}

/** Those as records, and the last sample, first to last; of kinds that are known here. */
export function historyOf(db: Database.Database, store: number): LogRecord[] {
	const records = eventsOf(db, store).flatMap(({ text }) => readRecord(text) ?? []);
	const sample = sampleBefore(db, store, Number.MAX_SAFE_INTEGER);
	if (sample === null) return records;
	const at = records.findIndex(({ seq }) => seq > sample.seq);
	records.splice(at < 0 ? records.length : at, 0, sample);
	return records;
}

/** The last sample at or before that record, or the digest that stands there. */
function sampleBefore(db: Database.Database, store: number, seq: number): LogRecord | null {
	const text = db
		.prepare(
			`SELECT seq, body FROM texts WHERE store = ? AND seq <= ? AND kind IN ('sample', 'digest')
			ORDER BY seq DESC LIMIT 1`,
		)
		.get(store, seq) as TextRow | undefined;
	const stretch = db
		.prepare(
			`SELECT from_seq AS fromSeq, columns, chain FROM stretches
			WHERE store = ? AND from_seq <= ? ORDER BY from_seq DESC LIMIT 1`,
		)
		.get(store, seq) as Stretch | undefined;
	if (stretch === undefined || (text !== undefined && text.seq > stretch.fromSeq)) {
		return text === undefined ? null : readRecord(text.body);
	}
	const run = unpack(stretch);
	return readRecord(run.text(Math.min(run.length - 1, seq - run.fromSeq)));
}

/** A run's tally as it stood at that record, by the last of its own samples before it. */
export function tallyAt(
	db: Database.Database,
	store: number,
	seq: number,
	beginSeq: number,
): Tally | null {
	const sample = sampleBefore(db, store, seq);
	if (sample === null || sample.seq < beginSeq) return null;
	return sample.kind === "sample" || sample.kind === "digest" ? sample.run : null;
}

/** How far the records of each boot go. */
export function bootsOf(db: Database.Database, store: number): BootSpan[] {
	const select = `SELECT boot, max(ms) AS lastMs FROM (
			SELECT boot, max(mono_ms) AS ms FROM texts WHERE store = @store GROUP BY boot
			UNION ALL
			SELECT boot, max(to_ms) AS ms FROM stretches WHERE store = @store GROUP BY boot
		) GROUP BY boot ORDER BY boot`;
	return db.prepare(select).all({ store }) as BootSpan[];
}
