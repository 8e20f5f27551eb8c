// The five-minute sums that are kept on import, and the hours made of them, against a recount of
// the samples themselves; a digest's beside its samples'.

import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { LogRecord } from "../../firmware/log/record.ts";
import { Archive } from "../../host/archive/archive.ts";
import { dateBoots, isDated } from "../../host/archive/dating.ts";
import { hourly, kFactorsOf } from "../../host/archive/hours.ts";
import { bucketOf } from "../../host/archive/rollup.ts";
import { runsOf, unorderedOf } from "../../host/archive/runs.ts";
import { batchOf, chainedRecords, drawLog, STORE } from "./drawn-log.ts";

/** What the properties draw from. */
const SEED = 20_261_126;

const folder = mkdtempSync(join(tmpdir(), "lees-rollup-"));
let made = 0;

function archived<T>(
	records: readonly LogRecord[],
	sizes: readonly number[],
	look: (a: Archive) => T,
) {
	made += 1;
	const archive = new Archive(join(folder, `${made}.sqlite`), { create: true });
	const stored = chainedRecords(records);
	for (let at = 0, i = 0; at < stored.length; i += 1) {
		const size = sizes[i % sizes.length] ?? 100;
		archive.add(STORE, batchOf(stored.slice(at, at + size)));
		at += size;
	}
	const found = look(archive);
	archive.close();
	return found;
}

type Sample = Extract<LogRecord, { kind: "sample" }>;
const isSample = (record: LogRecord): record is Sample => record.kind === "sample";

describe("five-minute sums", () => {
	it("are what a recount of the samples gives, however they came", () => {
		const sizes = fc.array(fc.integer({ min: 1, max: 200 }), { minLength: 1, maxLength: 5 });
		fc.assert(
			fc.property(fc.integer({ min: 1, max: 1e6 }), sizes, (seed, cuts) => {
				const records = drawLog(seed, 4, 700);
				const buckets = archived(records, cuts, (archive) => archive.buckets(STORE));
				const samples = records.filter(isSample);
				for (const { boot, fromMs, samples: count, of } of buckets) {
					const own = samples.filter(
						(s) => s.boot === boot && s.monoMs >= fromMs && s.monoMs < fromMs + 300_000,
					);
					expect(own.length).toBe(count);
					for (const name of ["flowLph", "vacuumKpa", "motorAmps", "fuelC"] as const) {
						const known = own.flatMap(({ [name]: value }) =>
							typeof value === "number" ? [value] : [],
						);
						expect(of[name]?.known ?? 0).toBe(known.length);
						if (known.length === 0) continue;
						const mean = known.reduce((a, b) => a + b, 0) / known.length;
						expect(of[name]?.mean).toBeCloseTo(mean, 9);
						expect(of[name]?.min).toBe(Math.min(...known));
						expect(of[name]?.max).toBe(Math.max(...known));
					}
				}
				expect(buckets.reduce((sum, { samples: n }) => sum + n, 0)).toBe(samples.length);
			}),
			{ seed: SEED, numRuns: 25 },
		);
	});

	it("move what runs and unordered pulses add up to, to the pulse", () => {
		fc.assert(
			fc.property(fc.integer({ min: 1, max: 1e6 }), (seed) => {
				const records = drawLog(seed);
				const buckets = archived(records, [97], (archive) => archive.buckets(STORE));
				const tallies = [...runsOf(records), ...unorderedOf(records)].map(({ tally }) => tally);
				const sum = (values: number[]) => values.reduce((a, b) => a + b, 0);
				expect(sum(buckets.map(({ pulses }) => pulses))).toBe(
					sum(tallies.map(({ pulses }) => pulses)),
				);
				expect(sum(buckets.map(({ motorMs }) => motorMs))).toBe(
					sum(tallies.map(({ motorMs }) => motorMs)),
				);
			}),
			{ seed: SEED, numRuns: 25 },
		);
	});
});

describe("hours", () => {
	const records = drawLog(8, 12, 900);
	const boots = [...new Set(records.map(({ boot }) => boot))];
	const spans = boots.map((boot) => ({ boot, lastMs: 50 * 3_600_000 }));
	const buckets = archived(records, [300], (archive) => archive.bucketRows(STORE));
	const k = kFactorsOf(records);
	const T = Date.UTC(2026, 10, 29, 10);
	const dayMs = 86_400_000;
	const sightings = boots.map((boot) => ({
		boot,
		monoMs: 0,
		utcMs: T + boot * 3 * dayMs,
		uncertaintyMs: 1_000,
	}));

	it("by the clock hold all that was moved, and each sample once", () => {
		const rows = hourly(buckets, dateBoots(sightings, spans), k);
		const litres = rows.reduce((sum, row) => sum + (row.litres ?? 0), 0);
		const pulses = buckets.map(bucketOf).reduce((sum, bucket) => sum + bucket.pulses, 0);
		expect(litres).toBeCloseTo(pulses / 420, 9);
		expect(rows.reduce((sum, row) => sum + row.samples, 0)).toBe(records.filter(isSample).length);
		expect(rows.every(({ utcMs }) => utcMs !== null && utcMs % 3_600_000 === 0)).toBe(true);
	});

	it("have the mean, the least and the greatest of their samples", () => {
		const dating = dateBoots(sightings, spans);
		for (const { utcMs, of } of hourly(buckets, dating, k)) {
			const own = records.filter(isSample).flatMap(({ boot, monoMs, vacuumKpa }) => {
				const middleMs = (Math.floor(monoMs / 300_000) + 0.5) * 300_000;
				const when = dating.at(boot, middleMs);
				const isIn = isDated(when) && Math.floor(when.utcMs / 3_600_000) * 3_600_000 === utcMs;
				return isIn && typeof vacuumKpa === "number" ? [vacuumKpa] : [];
			});
			expect(of.vacuumKpa?.known ?? 0).toBe(own.length);
			if (own.length === 0) continue;
			expect(of.vacuumKpa?.mean).toBeCloseTo(own.reduce((a, b) => a + b, 0) / own.length, 9);
			expect(of.vacuumKpa?.min).toBe(Math.min(...own));
			expect(of.vacuumKpa?.max).toBe(Math.max(...own));
		}
	});

	it("of undated boots stand beside them without a time, and only where none is asked for", () => {
		const dating = dateBoots(sightings.slice(0, 1), spans);
		const rows = hourly(buckets, dating, k);
		expect(rows.filter(({ utcMs }) => utcMs === null).map(({ boot }) => boot)).not.toContain(1);
		expect(rows.some(({ utcMs }) => utcMs === null)).toBe(true);
		const dated = hourly(buckets, dating, k, T, T + 30 * dayMs);
		expect(dated.length).toBeGreaterThan(0);
		expect(dated.every(({ boot }) => boot === 1)).toBe(true);
	});

	it("between two times are those hours alone", () => {
		const dating = dateBoots(sightings, spans);
		const all = hourly(buckets, dating, k);
		const [from = 0, to = 0] = [all[1]?.utcMs, all[3]?.utcMs].map(Number);
		expect(hourly(buckets, dating, k, from, to).map(({ utcMs }) => utcMs)).toEqual(
			all.slice(1, 3).map(({ utcMs }) => utcMs),
		);
	});
});
