// Hourly figures from the five-minute sums: by the clock where a boot is dated, else by hours of the
// boot. A sum of five minutes goes to the hour in which its middle lies. Pure.

import type { LogRecord } from "../../firmware/log/record.ts";
import { type Dating, isDated } from "./dating.ts";
import {
	BUCKET_MS,
	type Bucket,
	quantityNames,
	type SampleQuantity,
	type Spread,
} from "./rollup.ts";

const HOUR_MS = 3_600_000;

export interface HourRow {
	/** Begin of the hour, Unix time, ms; null where nobody dated the boot. */
	readonly utcMs: number | null;
	readonly uncertaintyMs: number | null;
	/** Of the first that fell into it. */
	readonly boot: number;
	/** Begin of the hour by the boot's own time; the first's where the hour is dated. */
	readonly bootHour: number;
	readonly samples: number;
	readonly digested: number;
	readonly motorHours: number;
	/** By the meter; null where no boot record tells its K-factor. */
	readonly litres: number | null;
	readonly of: Readonly<Record<SampleQuantity, Spread | null>>;
}

/** Pulses per litre by boot. */
export function kFactorsOf(history: readonly LogRecord[]): Map<number, number> {
	return new Map(
		history.flatMap(
			(record): Array<[number, number]> =>
				record.kind === "boot" ? [[record.boot, record.meter.pulsesPerLitre]] : [],
		),
	);
}

/**
 * Dated hours between two Unix times, in order; and, with no bounds, hours of undated boots too.
 * @param kFactors pulses per litre by boot
 */
export function hourly(
	buckets: readonly Bucket[],
	dating: Dating,
	kFactors: ReadonlyMap<number, number>,
	fromUtcMs = Number.NEGATIVE_INFINITY,
	toUtcMs = Number.POSITIVE_INFINITY,
): HourRow[] {
	const takesUndated = fromUtcMs === Number.NEGATIVE_INFINITY && toUtcMs === -fromUtcMs;
	const rows = new Map<string, HourRow>();
	for (const bucket of buckets) {
		const when = dating.at(bucket.boot, bucket.fromMs + BUCKET_MS / 2);
		const own = ownRow(bucket, kFactors.get(bucket.boot) ?? null);
		if (isDated(when)) {
			const utcMs = Math.floor(when.utcMs / HOUR_MS) * HOUR_MS;
			if (utcMs + HOUR_MS <= fromUtcMs || utcMs >= toUtcMs) continue;
			add(rows, `${utcMs}`, { ...own, utcMs, uncertaintyMs: when.uncertaintyMs });
		} else if (takesUndated) add(rows, `${own.boot}/${own.bootHour}`, own);
	}
	return [...rows.values()].sort((a, b) => a.boot - b.boot || a.bootHour - b.bootHour);
}

function ownRow({ boot, fromMs, motorMs, pulses, ...counts }: Bucket, k: number | null): HourRow {
	const { samples, digested, of } = counts;
	return {
		utcMs: null,
		uncertaintyMs: null,
		boot,
		bootHour: Math.floor(fromMs / HOUR_MS),
		samples,
		digested,
		motorHours: motorMs / HOUR_MS,
		litres: k === null ? null : pulses / k,
		of,
	};
}

function add(rows: Map<string, HourRow>, key: string, more: HourRow): void {
	const before = rows.get(key);
	rows.set(key, before === undefined ? more : joined(before, more));
}

function joined(a: HourRow, b: HourRow): HourRow {
	const both = quantityNames.map((name) => [name, joinedSpread(a.of[name], b.of[name])]);
	return {
		...a,
		samples: a.samples + b.samples,
		digested: a.digested + b.digested,
		motorHours: a.motorHours + b.motorHours,
		litres: a.litres === null || b.litres === null ? null : a.litres + b.litres,
		of: Object.fromEntries(both) as HourRow["of"],
	};
}

function joinedSpread(a: Spread | null, b: Spread | null): Spread | null {
	if (a === null || b === null) return a ?? b;
	const known = a.known + b.known;
	return {
		known,
		mean: (a.known * a.mean + b.known * b.mean) / known,
		min: Math.min(a.min, b.min),
		max: Math.max(a.max, b.max),
	};
}
