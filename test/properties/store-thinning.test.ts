// A full store lets samples go and nothing else: totals and events are the same before and after,
// the chain holds over the digests, and a month of nights stays within the set size.

import { statSync } from "node:fs";
import { describe, expect, it } from "vitest";
import type { StoredRecord } from "../../firmware/log/chain.ts";
import { StoreFile } from "../../firmware/log/database.ts";
import { DIGEST_SAMPLES_MAX, digestIn, followed } from "../../firmware/log/digest.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { readRecord } from "../../firmware/log/record-text.ts";
import { recover } from "../../firmware/log/recovery.ts";
import { exampleRig } from "../stories/world.ts";
import { fill, LogStory, newFile } from "./log-story.ts";

const rig = exampleRig();
const MB = 1_000_000;

/** Each record follows the one before it; the last number, or where it broke. */
function chainEnd(storeId: string, rows: readonly StoredRecord[]): number {
	let end = { seq: 0, chain: storeId };
	for (const row of rows) {
		const next = followed(end, row);
		if (next === null) throw new Error(`record ${row.seq} does not follow ${end.seq}`);
		end = next;
	}
	return end.seq;
}

const kindsOf = (rows: readonly StoredRecord[], from: number, to: number) => [
	...new Set(
		rows.filter(({ seq }) => seq >= from && seq <= to).map(({ json }) => readRecord(json)?.kind),
	),
];

/** All of it in a store that never fills, and in one that does. */
function both(records: readonly LogRecord[], bytesMax: number) {
	const roomy = new StoreFile(newFile());
	const tight = new StoreFile(newFile(), bytesMax);
	fill(roomy, records);
	fill(tight, records);
	return { roomy, tight };
}

describe("a store that is full", () => {
	it("keeps totals, events and chain, the newest boot's last run and an open one", () => {
		const story = new LogStory();
		const old = [...story.boot(), ...story.run(4_000), ...story.trip(), ...story.run(1_000)];
		const newest = [...story.boot(), ...story.run(2_500)];
		const { roomy, tight } = both([...old, ...newest], 200_000);
		const rows = tight.read(1, 100_000);
		expect(recover(tight.history(), rig)).toEqual(recover(roomy.history(), rig));
		expect(chainEnd(tight.storeId, rows)).toBe(newest.at(-1)?.seq);
		const events = (list: ReadonlyArray<LogRecord | null>) =>
			list.filter((record) => record !== null && !["sample", "digest"].includes(record.kind));
		expect(events(rows.map(({ json }) => readRecord(json)))).toEqual(events([...old, ...newest]));
		expect(kindsOf(rows, 1, old.length)).not.toContain("sample");
		const kept = rows.filter(({ seq }) => seq > old.length).map(({ json }) => readRecord(json));
		expect(kept).toEqual(newest);

		// A boot later that run may go, and the one that is under way may not.
		const open = [...story.boot(), ...story.begin(2_000)];
		fill(tight, open);
		const now = tight.read(1, 100_000);
		expect(kindsOf(now, old.length + 1, old.length + newest.length)).not.toContain("sample");
		expect(now.filter(({ seq }) => seq >= (open[0]?.seq ?? 0)).length).toBe(open.length);
		roomy.close();
		tight.close();
	});

	it("tells an interrupted run to its last sample, before and after it is thinned", () => {
		const story = new LogStory();
		const cut = [...story.boot(), ...story.begin(3_000)];
		const { roomy, tight } = both(cut, 100_000);
		const recovery = recover(tight.history(), rig);
		expect(recovery.interrupted?.run.motorMs).toBe(3_000_000);
		const { interrupted } = recovery;
		const { id = "", run = { motorMs: 0, pulses: 0 } } = interrupted ?? {};
		// The boot alone has not told yet how the run ended.
		const boot = story.boot();
		fill(tight, boot);
		fill(roomy, boot);
		expect(kindsOf(tight.read(1, 10_000), 3, cut.length)).toEqual(["sample"]);
		const after = [story.record({ kind: "interrupted", id, run })];
		fill(tight, after);
		fill(roomy, after);
		expect(kindsOf(tight.read(1, 10_000), 3, cut.length)).toEqual(["digest"]);
		expect(recover(tight.history(), rig)).toEqual(recover(roomy.history(), rig));
		roomy.close();
		tight.close();
	});

	it("gives the digest for any number within it, with the chain that its last sample had", () => {
		const file = newFile();
		const story = new LogStory();
		const roomy = new StoreFile(file);
		fill(roomy, [...story.boot(), ...story.run(3_000), ...story.boot()]);
		const originals = roomy.read(3, 3_000);
		roomy.close();
		const tight = new StoreFile(file, 100_000);
		while (tight.isUntidy()) tight.tidy();
		const [row] = tight.read(3, 1);
		expect(digestIn(row?.json ?? "")).toMatchObject({ fromSeq: 3, seq: 2 + DIGEST_SAMPLES_MAX });
		for (const seq of [4, 500, 2 + DIGEST_SAMPLES_MAX]) {
			expect(tight.read(seq, 1)).toEqual([row]);
		}
		expect(row?.chain).toBe(originals[DIGEST_SAMPLES_MAX - 1]?.chain);
		tight.close();
	});

	it("of short stretches between events gains what there is to gain, and rests", () => {
		const story = new LogStory();
		const records = story.boot();
		for (let i = 0; i < 200; i += 1) records.push(...story.run(3), ...story.run(40));
		const { roomy, tight } = both(records, 50_000);
		expect(tight.isUntidy()).toBe(false);
		expect(chainEnd(tight.storeId, tight.read(1, 100_000))).toBe(records.length);
		expect(tight.usedBytes()).toBeLessThan(roomy.usedBytes());
		roomy.close();
		tight.close();
	});
});

describe("a month of nights, four hours each at a sample a second", () => {
	it("stays within 16 MB but for what one batch brings", { timeout: 120_000 }, () => {
		const file = newFile();
		const bytesMax = 16 * MB;
		const store = new StoreFile(file, bytesMax);
		const story = new LogStory();
		let usedMax = 0;
		let batchMax = 0;
		for (let night = 0; night < 30; night += 1) {
			fill(store, story.boot());
			for (let hour = 0; hour < 4; hour += 1) {
				for (const records of [story.begin(1_800), story.samples(1_800), story.end()]) {
					const before = store.usedBytes();
					store.write(records, []);
					batchMax = Math.max(batchMax, store.usedBytes() - before);
					usedMax = Math.max(usedMax, store.usedBytes());
					while (store.isUntidy()) store.tidy();
				}
			}
		}
		const last = store.last();
		const { storeId } = store;
		store.close();
		expect(last.seq).toBeGreaterThan(30 * 4 * 3_600);
		expect(usedMax).toBeLessThan(bytesMax + batchMax);
		expect(statSync(file).size).toBeLessThan(bytesMax + 2 * batchMax);

		const again = new StoreFile(file, bytesMax);
		const rows = again.read(1, 1_000_000);
		expect(chainEnd(storeId, rows)).toBe(last.seq);
		const digests = rows.filter(({ json }) => digestIn(json) !== null);
		const bytes = digests.reduce((sum, { json }) => sum + json.length, 0) / digests.length;
		console.log(
			`${last.seq} records, ${rows.length} rows kept, ${digests.length} digests of ` +
				`${Math.round(bytes)} bytes, ${(usedMax / MB).toFixed(2)} MB at most`,
		);
		const recovery = recover(again.history(), rig);
		expect(recovery.totals.tanks.port).toEqual({
			motorMs: 30 * 4 * 3_600_000,
			pulses: 30 * 4 * 3_600 * 11,
		});
		again.close();
	});
});
