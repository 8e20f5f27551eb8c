// The archive's records: stored once, as they were chained, in whatever order and however often
// they come; digests; what does not follow is refused and changes nothing.

import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import fc from "fast-check";
import { afterEach, describe, expect, it } from "vitest";
import { chained, type StoredRecord } from "../../firmware/log/chain.ts";
import { SampleRun } from "../../firmware/log/sample-columns.ts";
import { Archive } from "../../host/archive/archive.ts";
import { batchOf, chainedRecords, digested, drawLog, STORE } from "./drawn-log.ts";

/** What the properties draw from. */
const SEED = 20_261_126;

const folder = mkdtempSync(join(tmpdir(), "lees-archive-"));
let archives: Archive[] = [];
let made = 0;
function fresh(): Archive {
	made += 1;
	const archive = new Archive(join(folder, `${made}.sqlite`), { create: true });
	archives.push(archive);
	return archive;
}
afterEach(() => {
	for (const archive of archives) archive.close();
	archives = [];
});

const log = (seed: number) => chainedRecords(drawLog(seed));
const textsIn = (archive: Archive) => [...archive.texts(STORE)].map(({ text }) => text);
const textsOf = (stored: readonly StoredRecord[]) => stored.map(({ json }) => json);
/** Where a run of `count` samples stands. */
function samplesAt(stored: readonly StoredRecord[], count: number): number {
	const isSample = ({ json }: StoredRecord) => json.includes('"kind":"sample"');
	const at = stored.findIndex((_, i) => {
		const row = stored.slice(i, i + count);
		return row.length === count && row.every(isSample);
	});
	if (at < 0) throw new Error("no such row of samples");
	return at;
}

describe("records", () => {
	it("come back letter by letter, and the chain ends where the controller's does", () => {
		const stored = log(1);
		const archive = fresh();
		expect(archive.add(STORE, batchOf(stored))).toBe(stored.length);
		expect(textsIn(archive)).toEqual(textsOf(stored));
		const { seq, chain } = stored.at(-1) ?? { seq: 0, chain: "" };
		expect(archive.last(STORE)).toEqual({ seq, chain });
	});

	it("are the same whatever the batches, however often each comes, packed or not", () => {
		const stored = log(2);
		const whole = fresh();
		whole.add(STORE, batchOf(stored));
		const cut = fc.record({
			size: fc.integer({ min: 1, max: 300 }),
			back: fc.integer({ min: 0, max: 120 }),
			isPacked: fc.boolean(),
		});
		fc.assert(
			fc.property(fc.array(cut, { minLength: 1, maxLength: 8 }), (cuts) => {
				const archive = fresh();
				let at = 0;
				for (let i = 0; at < stored.length; i += 1) {
					const { size, back, isPacked } = cuts[i % cuts.length] ?? {
						size: 50,
						back: 0,
						isPacked: false,
					};
					const from = Math.max(0, at - back);
					const part = stored.slice(from, at + size);
					archive.add(STORE, isPacked ? packed(part) : batchOf(part));
					at += size;
				}
				expect(textsIn(archive)).toEqual(textsOf(stored));
				expect(archive.buckets(STORE)).toEqual(whole.buckets(STORE));
				expect(archive.boots(STORE)).toEqual(whole.boots(STORE));
				expect(archive.history(STORE)).toEqual(whole.history(STORE));
			}),
			{ seed: SEED, numRuns: 40 },
		);
	});

	it("have a chain value anywhere among them", () => {
		const stored = log(3);
		const archive = fresh();
		archive.add(STORE, batchOf(stored.slice(0, 500)));
		archive.add(STORE, batchOf(stored.slice(500)));
		for (const { seq, chain } of stored) expect(archive.chainAt(STORE, seq)).toBe(chain);
		expect(archive.chainAt(STORE, 0)).toBe(STORE);
		expect(archive.chainAt(STORE, stored.length + 1)).toBeNull();
	});

	it("of a kind that this program does not know are kept as they are", () => {
		const json = '{"seq":1,"boot":1,"monoMs":0,"v":1,"kind":"from-later","what":[1]}';
		const archive = fresh();
		archive.add(STORE, { items: [json], chain: chained(STORE, json) });
		expect(textsIn(archive)).toEqual([json]);
		expect(archive.history(STORE)).toEqual([]);
	});
});

/** As the link's codec hands them on. */
function packed(part: readonly StoredRecord[]) {
	const items: Array<string | SampleRun> = [];
	for (const { seq, json } of part) {
		const last = items.at(-1);
		if (last instanceof SampleRun && last.add(json)) continue;
		const run = new SampleRun(seq, Number(/"boot":(\d+)/.exec(json)?.[1]));
		items.push(run.add(json) ? run : json);
	}
	return { items, chain: part.at(-1)?.chain ?? "" };
}

describe("what does not follow", () => {
	const stored = log(4);
	const half = stored.slice(0, 300);
	const refusals: Array<[string, StoredRecord[]]> = [
		["a gap", stored.slice(302, 400)],
		["a record left out", [...stored.slice(300, 350), ...stored.slice(351, 400)]],
		[
			"a letter changed",
			stored.slice(300, 400).map((record, i) => ({
				...record,
				json: i === 50 ? record.json.replace(/"monoMs":\d/, '"monoMs":9') : record.json,
			})),
		],
		["another rig's records", chainedRecords(drawLog(5), "another").slice(300, 400)],
		["a text that is no record", [{ seq: 301, json: '{"seq":301}', chain: "" }]],
	];

	it.each(refusals)("%s is refused, and nothing of it is kept", (_, records) => {
		const archive = fresh();
		archive.add(STORE, batchOf(half));
		const buckets = archive.buckets(STORE);
		expect(() => archive.add(STORE, batchOf(stored.slice(300, 301)), batchOf(records))).toThrow(
			/allowed: an unbroken chain/,
		);
		expect(textsIn(archive)).toEqual(textsOf(half));
		expect(archive.buckets(STORE)).toEqual(buckets);
		archive.add(STORE, batchOf(stored.slice(300)));
		expect(textsIn(archive)).toEqual(textsOf(stored));
	});
});

describe("a digest", () => {
	const stored = log(6);
	const from = samplesAt(stored, 120);
	const digest = digested(stored, from, 120);
	const thinned = [...stored.slice(0, from), digest, ...stored.slice(from + 120)];

	it("stands for its samples, and what comes after follows it", () => {
		const archive = fresh();
		expect(archive.add(STORE, batchOf(thinned))).toBe(stored.length);
		expect(textsIn(archive)).toEqual(textsOf(thinned));
		expect(archive.last(STORE)?.chain).toBe(stored.at(-1)?.chain);
	});

	it("changes nothing where the originals are", () => {
		const archive = fresh();
		archive.add(STORE, batchOf(stored));
		archive.add(STORE, batchOf(thinned));
		expect(textsIn(archive)).toEqual(textsOf(stored));
	});

	it("stands for the rest where a part of them is there", () => {
		const archive = fresh();
		archive.add(STORE, batchOf(stored.slice(0, from + 50)));
		archive.add(STORE, batchOf(thinned.slice(from)));
		const kept = [...stored.slice(0, from + 50), ...thinned.slice(from)];
		expect(textsIn(archive)).toEqual(textsOf(kept));
		const known = archive.buckets(STORE).map(({ samples, digested }) => samples + digested);
		const whole = fresh();
		whole.add(STORE, batchOf(stored));
		const all = whole.buckets(STORE).map(({ samples }) => samples);
		const sum = (values: number[]) => values.reduce((a, b) => a + b, 0);
		expect(sum(known)).toBeCloseTo(sum(all), 6);
	});

	it("moves as much as its samples did, in the same five minutes but for its edges", () => {
		const archive = fresh();
		archive.add(STORE, batchOf(thinned));
		const whole = fresh();
		whole.add(STORE, batchOf(stored));
		const moved = (of: Archive) =>
			of
				.buckets(STORE)
				.reduce(
					(sum, { motorMs, pulses }) => [(sum[0] ?? 0) + motorMs, (sum[1] ?? 0) + pulses],
					[0, 0],
				);
		const [[ms = 0, n = 0], [msWhole = 0, nWhole = 0]] = [moved(archive), moved(whole)];
		expect(ms).toBeCloseTo(msWhole, 5);
		expect(n).toBeCloseTo(nWhole, 5);
	});

	it("with a changed figure, or over another chain, is refused", () => {
		const archive = fresh();
		archive.add(STORE, batchOf(stored.slice(0, from)));
		const forged = { ...digest, json: digest.json.replace(/"known":\d+/, '"known":999') };
		expect(() => archive.add(STORE, batchOf([forged]))).toThrow("not as it was sealed");
		const short = fresh();
		short.add(STORE, batchOf(stored.slice(0, from - 1)));
		expect(() => short.add(STORE, batchOf([digest]))).toThrow("does not follow");
		const other = digested(chainedRecords(drawLog(6), "another"), from, 120);
		expect(() => archive.add(STORE, batchOf([other]))).toThrow("does not follow");
		expect(archive.add(STORE, batchOf([digest]))).toBe(120);
	});
});

describe("clocks held against a rig's", () => {
	it("are kept once each, before any record came too", () => {
		const archive = fresh();
		const sighting = { boot: 2, monoMs: 5, utcMs: 1_790_000_000_000, uncertaintyMs: 2_000 };
		archive.sight(STORE, sighting);
		archive.sight(STORE, sighting);
		expect(archive.sightings(STORE)).toEqual([sighting]);
		expect(archive.last(STORE)).toBeNull();
	});
});
