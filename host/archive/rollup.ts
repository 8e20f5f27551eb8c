// Five-minute sums of samples by boot, kept while records are imported, so that a month is looked
// at without its samples. Values stand in the samples' own steps: sums of whole numbers are exact.
// Imports the samples' columns and better-sqlite3's types.

import type Database from "better-sqlite3";
import type { LogRecord } from "../../firmware/log/record.ts";
import {
	MONO,
	MOTOR,
	PULSES,
	QUANTITY,
	SAMPLE_SCALES,
	type SampleRun,
	UNKNOWN_FROM,
} from "../../firmware/log/sample-columns.ts";
import type { Tally } from "../../firmware/totals.ts";

export const BUCKET_MS = 300_000;

export type SampleQuantity = keyof typeof SAMPLE_SCALES;
export const quantityNames = Object.keys(SAMPLE_SCALES) as SampleQuantity[];
const scales = quantityNames.map((name) => SAMPLE_SCALES[name]);

/** Before the quantities: samples, those that a digest stands for, motor time, pulses. */
const COUNTS = ["samples", "digested", "motor_ms", "pulses"] as const;
const SAMPLES = 0;
const DIGESTED = 1;
const MOTOR_MS = 2;
const PULSES_MOVED = 3;
/** Of each quantity: how many were known, their sum, the least, the greatest. */
const PARTS = ["known", "sum", "min", "max"] as const;
const OF_QUANTITY = COUNTS.length;

export const ROLLUP_COLUMNS: readonly string[] = [
	...COUNTS,
	...quantityNames.flatMap((name) => PARTS.map((part) => `${name.toLowerCase()}_${part}`)),
];

/** What stands before the next record: the run's tally as last seen, and what nobody ordered. */
export interface TallyState {
	run: Tally;
	unordered: Tally;
}

const columnOf = (quantity: number): number => OF_QUANTITY + PARTS.length * quantity;

const isPart = (column: number, part: (typeof PARTS)[number]): boolean =>
	column >= OF_QUANTITY && PARTS[(column - OF_QUANTITY) % PARTS.length] === part;

const MERGE = ROLLUP_COLUMNS.map((name, i) => {
	if (!isPart(i, "min") && !isPart(i, "max")) return `${name} = ${name} + excluded.${name}`;
	// With one of them null, SQLite's min and max of two are null.
	const pick = isPart(i, "min") ? "min" : "max";
	const either = `coalesce(${name}, excluded.${name})`;
	return `${name} = coalesce(${pick}(${name}, excluded.${name}), ${either})`;
}).join(", ");

/** Gathers what one import adds; `write` puts it into the table. */
export class Rollup {
	private readonly rows = new Map<string, Array<number | null>>();
	private boot = 0;
	private bucket = -1;
	private row: Array<number | null> = [];
	private readonly tally: TallyState;

	/** @param tally is changed as records come */
	constructor(tally: TallyState) {
		this.tally = tally;
	}

	addRun(run: SampleRun): void {
		const { columns } = run;
		const monoMs = columns[MONO] ?? [];
		const motorMs = columns[MOTOR] ?? [];
		const pulses = columns[PULSES] ?? [];
		const last = { ...this.tally.run };
		for (let i = 0; i < monoMs.length; i += 1) {
			const row = this.at(run.boot, monoMs[i] ?? 0);
			count(row, SAMPLES, 1);
			for (let q = 0; q < quantityNames.length; q += 1) {
				const steps = columns[QUANTITY + q]?.[i] ?? UNKNOWN_FROM;
				if (steps < UNKNOWN_FROM) spread(row, columnOf(q), 1, steps, steps, steps);
			}
			const [ms, n] = [motorMs[i] ?? 0, pulses[i] ?? 0];
			count(row, MOTOR_MS, moved(last.motorMs, ms));
			count(row, PULSES_MOVED, moved(last.pulses, n));
			last.motorMs = ms;
			last.pulses = n;
		}
		this.tally.run = last;
	}

	add(record: LogRecord): void {
		const { tally } = this;
		switch (record.kind) {
			case "run-begin":
				tally.run = { motorMs: 0, pulses: 0 };
				return;
			case "run-end":
			case "interrupted":
				this.move(record, tally.run, record.run);
				tally.run = record.run;
				return;
			case "unordered":
				this.move(record, tally.unordered, record.sum);
				tally.unordered = record.sum;
				return;
			case "sample": {
				const row = this.at(record.boot, record.monoMs);
				count(row, SAMPLES, 1);
				quantityNames.forEach((name, q) => {
					const value = record[name];
					if (typeof value !== "number") return;
					const steps = value * (scales[q] ?? 1);
					spread(row, columnOf(q), 1, steps, steps, steps);
				});
				this.move(record, tally.run, record.run);
				tally.run = record.run;
				return;
			}
			case "digest":
				this.addDigest(record);
		}
	}

	/** A digest's sums are spread evenly over its time; its least and greatest stand in all of it. */
	private addDigest(digest: Extract<LogRecord, { kind: "digest" }>): void {
		const { boot, fromMs, monoMs, run } = digest;
		const { tally } = this;
		const samples = digest.seq - digest.fromSeq + 1;
		const [motorMs, pulses] = [
			moved(tally.run.motorMs, run.motorMs),
			moved(tally.run.pulses, run.pulses),
		];
		for (let atMs = fromMs; atMs <= monoMs; ) {
			const endMs = Math.min((Math.floor(atMs / BUCKET_MS) + 1) * BUCKET_MS, monoMs + 1);
			const share = (endMs - atMs) / (monoMs + 1 - fromMs);
			const row = this.at(boot, atMs);
			count(row, DIGESTED, share * samples);
			count(row, MOTOR_MS, share * motorMs);
			count(row, PULSES_MOVED, share * pulses);
			quantityNames.forEach((name, q) => {
				const of = digest[name];
				if (of === null) return;
				const scale = scales[q] ?? 1;
				const known = share * of.known;
				spread(row, columnOf(q), known, known * of.mean * scale, of.min * scale, of.max * scale);
			});
			atMs = endMs;
		}
		tally.run = run;
	}

	private move({ boot, monoMs }: LogRecord, before: Tally, after: Tally): void {
		const motorMs = moved(before.motorMs, after.motorMs);
		const pulses = moved(before.pulses, after.pulses);
		if (motorMs === 0 && pulses === 0) return;
		const row = this.at(boot, monoMs);
		count(row, MOTOR_MS, motorMs);
		count(row, PULSES_MOVED, pulses);
	}

	write(db: Database.Database, store: number): void {
		const names = ROLLUP_COLUMNS.join(", ");
		const places = ROLLUP_COLUMNS.map(() => "?").join(", ");
		const upsert = db.prepare(
			`INSERT INTO buckets (store, boot, bucket, ${names}) VALUES (?, ?, ?, ${places})
			ON CONFLICT DO UPDATE SET ${MERGE}`,
		);
		for (const [key, row] of this.rows) {
			const [boot, bucket] = key.split("/").map(Number);
			upsert.run(store, boot, bucket, ...row);
		}
		this.rows.clear();
		this.bucket = -1;
	}

	private at(boot: number, monoMs: number): Array<number | null> {
		const bucket = Math.floor(monoMs / BUCKET_MS);
		if (boot === this.boot && bucket === this.bucket) return this.row;
		const key = `${boot}/${bucket}`;
		const row = this.rows.get(key) ?? emptyRow();
		this.rows.set(key, row);
		this.boot = boot;
		this.bucket = bucket;
		this.row = row;
		return row;
	}
}

const emptyRow = (): Array<number | null> =>
	ROLLUP_COLUMNS.map((_, i) => (isPart(i, "min") || isPart(i, "max") ? null : 0));

function count(row: Array<number | null>, column: number, more: number): void {
	row[column] = (row[column] ?? 0) + more;
}

function spread(
	row: Array<number | null>,
	at: number,
	known: number,
	sum: number,
	min: number,
	max: number,
): void {
	row[at] = (row[at] ?? 0) + known;
	row[at + 1] = (row[at + 1] ?? 0) + sum;
	row[at + 2] = Math.min(row[at + 2] ?? min, min);
	row[at + 3] = Math.max(row[at + 3] ?? max, max);
}

/** A tally that went back is a new run's. */
const moved = (before: number, after: number): number => (after >= before ? after - before : after);

/** What is known of a quantity over some time, in its own unit. */
export interface Spread {
	readonly known: number;
	readonly mean: number;
	readonly min: number;
	readonly max: number;
}

/** What some time held. */
export interface Figures {
	readonly samples: number;
	/** As many were let go aboard, and stand here by their digest. */
	readonly digested: number;
	readonly motorMs: number;
	readonly pulses: number;
	readonly of: Readonly<Record<SampleQuantity, Spread | null>>;
}

export interface Bucket extends Figures {
	readonly boot: number;
	readonly fromMs: number;
}

/** A bucket as the table has it: boot, number, then its figures by column. */
export type BucketRow = Array<number | null>;

const FIGURES_AT = 2;

export function readBuckets(db: Database.Database, store: number): BucketRow[] {
	const select = `SELECT boot, bucket, ${ROLLUP_COLUMNS.join(", ")} FROM buckets
		WHERE store = ? ORDER BY boot, bucket`;
	return db.prepare(select).raw().all(store) as BucketRow[];
}

export const bootOf = (row: BucketRow): number => row[0] ?? 0;
export const fromMsOf = (row: BucketRow): number => (row[1] ?? 0) * BUCKET_MS;

export const pulsesOf = (row: BucketRow): number => row[FIGURES_AT + PULSES_MOVED] ?? 0;

export const bucketOf = (row: BucketRow): Bucket => ({
	boot: bootOf(row),
	fromMs: fromMsOf(row),
	...figuresOf(row),
});

export const figuresOf = (row: BucketRow): Figures => ({
	samples: row[FIGURES_AT + SAMPLES] ?? 0,
	digested: row[FIGURES_AT + DIGESTED] ?? 0,
	motorMs: row[FIGURES_AT + MOTOR_MS] ?? 0,
	pulses: row[FIGURES_AT + PULSES_MOVED] ?? 0,
	of: Object.fromEntries(quantityNames.map((name, q) => [name, spreadIn(row, q)])) as Figures["of"],
});

/** Adds a bucket's figures to another's. */
export function addFigures(into: BucketRow, row: BucketRow): void {
	for (let i = 0; i < OF_QUANTITY; i += 1) count(into, FIGURES_AT + i, row[FIGURES_AT + i] ?? 0);
	for (let q = 0; q < quantityNames.length; q += 1) {
		const at = FIGURES_AT + OF_QUANTITY + PARTS.length * q;
		const known = row[at] ?? 0;
		if (known === 0) continue;
		spread(into, at, known, row[at + 1] ?? 0, row[at + 2] ?? 0, row[at + 3] ?? 0);
	}
}

function spreadIn(row: BucketRow, quantity: number): Spread | null {
	const at = FIGURES_AT + OF_QUANTITY + PARTS.length * quantity;
	const known = row[at] ?? 0;
	if (known === 0) return null;
	const scale = scales[quantity] ?? 1;
	return {
		known,
		mean: (row[at + 1] ?? 0) / known / scale,
		min: (row[at + 2] ?? 0) / scale,
		max: (row[at + 3] ?? 0) / scale,
	};
}
