// Hourly figures from the five-minute sums: by the clock where a boot is dated, else by hours of
// the boot. A sum of five minutes goes to the hour in which its middle lies. Pure.

import type { LogRecord } from "../../firmware/log/record.ts";
import { type Dating, isDated } from "./dating.ts";
import {
	addFigures,
	BUCKET_MS,
	type BucketRow,
	bootOf,
	type Figures,
	figuresOf,
	fromMsOf,
	pulsesOf,
} from "./rollup.ts";

const HOUR_MS = 3_600_000;

export interface HourRow extends Figures {
	/** Begin of the hour, Unix time, ms; null where nobody dated the boot. */
	readonly utcMs: number | null;
	readonly uncertaintyMs: number | null;
	/** Of the first that fell into it. */
	readonly boot: number;
	/** Begin of the hour by the boot's own time; the first's where the hour is dated. */
	readonly bootHour: number;
	readonly motorHours: number;
	/** By the meter; null where no boot record tells its K-factor. */
	readonly litres: number | null;
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

/** An hour under way. */
interface Sum {
	readonly utcMs: number | null;
	readonly uncertaintyMs: number | null;
	readonly row: BucketRow;
	litres: number | null;
}

/**
 * Dated hours between two Unix times, in order; with no bounds, after them those of undated boots.
 * @param kFactors pulses per litre by boot
 */
export function hourly(
	rows: readonly BucketRow[],
	dating: Dating,
	kFactors: ReadonlyMap<number, number>,
	fromUtcMs = Number.NEGATIVE_INFINITY,
	toUtcMs = Number.POSITIVE_INFINITY,
): HourRow[] {
	const takesUndated = fromUtcMs === Number.NEGATIVE_INFINITY && toUtcMs === -fromUtcMs;
	const dated = new Map<number, Sum>();
	const undated = new Map<string, Sum>();
	for (const row of rows) {
		const when = dating.at(bootOf(row), fromMsOf(row) + BUCKET_MS / 2);
		const litres = litresIn(row, kFactors);
		if (isDated(when)) {
			const utcMs = Math.floor(when.utcMs / HOUR_MS) * HOUR_MS;
			if (utcMs + HOUR_MS <= fromUtcMs || utcMs >= toUtcMs) continue;
			add(dated, utcMs, row, litres, { utcMs, uncertaintyMs: when.uncertaintyMs });
		} else if (takesUndated) {
			const key = `${bootOf(row)}/${bootHourOf(row)}`;
			add(undated, key, row, litres, { utcMs: null, uncertaintyMs: null });
		}
	}
	const hours = [...dated.values()].sort((a, b) => (a.utcMs ?? 0) - (b.utcMs ?? 0));
	return [...hours, ...undated.values()].map(hourOf);
}

const bootHourOf = (row: BucketRow): number => Math.floor(fromMsOf(row) / HOUR_MS);

function litresIn(row: BucketRow, kFactors: ReadonlyMap<number, number>): number | null {
	const k = kFactors.get(bootOf(row));
	return k === undefined ? null : pulsesOf(row) / k;
}

function add<Key>(
	sums: Map<Key, Sum>,
	key: Key,
	row: BucketRow,
	litres: number | null,
	when: Pick<Sum, "utcMs" | "uncertaintyMs">,
): void {
	const sum = sums.get(key);
	if (sum === undefined) sums.set(key, { ...when, row: [...row], litres });
	else {
		addFigures(sum.row, row);
		sum.litres = sum.litres === null || litres === null ? null : sum.litres + litres;
	}
}

function hourOf({ utcMs, uncertaintyMs, row, litres }: Sum): HourRow {
	const figures = figuresOf(row);
	const motorHours = figures.motorMs / HOUR_MS;
	const place = { utcMs, uncertaintyMs, boot: bootOf(row), bootHour: bootHourOf(row) };
	return { ...place, ...figures, motorHours, litres };
}
