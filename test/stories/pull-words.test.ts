// What a pull tells of itself: progress, what it got, what is still aboard, which boots have dates.
// And a record in parts, put together whatever the order.

import { describe, expect, it } from "vitest";
import { decodeLogPayload, encodeBatch } from "../../firmware/link/batch.ts";
import { chained } from "../../firmware/log/chain.ts";
import type { Pulled } from "../../host/archive/pull.ts";
import { Parts } from "../../host/link/parts.ts";
import { progressWords, pulledWords } from "../../host/report/pull-words.ts";

const PULLED: Pulled = {
	...{ storeId: "s", rig: "Drawn rig", records: 1_200, samples: 1_100, runs: 1, trips: 2 },
	...{ lastSeq: 1_200, durableSeq: 86_400, bytes: 13_056, losses: 0, isComplete: false },
	...{ windows: 0, windowsWanted: 0 },
};

describe("progress", () => {
	it("tells records, bytes, rate and the time that is left", () => {
		expect(progressWords(PULLED, 1_200)).toBe(
			"record 1200 of 86400  13.1 kB  10.9 kB/s  0:01:25 left",
		);
	});

	it("tells the windows after the records", () => {
		const windows = { ...PULLED, windows: 1, windowsWanted: 5 };
		expect(progressWords(windows, 1_200)).toBe("window 2 of 5  13.1 kB  10.9 kB/s");
	});

	it("guesses nothing in the first second, nor where nothing came", () => {
		expect(progressWords(PULLED, 500)).toBe("record 1200 of 86400  13.1 kB");
		expect(progressWords({ ...PULLED, records: 0 }, 2_000)).not.toContain("left");
	});
});

describe("the end", () => {
	const dates = { dated: [1, 2, 3, 7], undated: [4] };

	it("tells what is new, and what is still aboard when it was ended early", () => {
		const [what, rest] = pulledWords(PULLED, "a.sqlite", dates);
		expect(what).toBe(
			"Drawn rig: 1200 new records (1100 samples, 1 run, 2 trips), up to record 1200, in a.sqlite",
		);
		expect(rest).toContain("all up to record 1200 is kept, 85200 records still aboard");
	});

	it("tells of windows that came, and of those that did not", () => {
		const all = { ...PULLED, lastSeq: 86_400, windows: 1, windowsWanted: 3 };
		const [, came, rest] = pulledWords(all, "a.sqlite", dates);
		expect(came).toBe("1 window of tick inputs for `lees replay`.");
		expect(rest).toContain("2 windows of tick inputs still aboard");
	});

	it("tells which boots are dated, and how to have a date", () => {
		const words = pulledWords({ ...PULLED, isComplete: true }, "a.sqlite", dates);
		expect(words[1]).toBe("Dated: boots 1 to 3, 7.");
		expect(words[2]).toContain(
			"Undated: boot 4, where nobody told the time. Run `lees clock PORT`",
		);
		const all = { dated: [1], undated: [] };
		expect(pulledWords({ ...PULLED, isComplete: true }, "a.sqlite", all).length).toBe(2);
	});
});

describe("a record in parts", () => {
	const reasons = Array.from({ length: 900 }, (_, i) => `${(i * 7919) % 1000}`);
	const head = { seq: 5, boot: 1, monoMs: 0, v: 1, kind: "order-refused", id: "a" };
	const json = JSON.stringify({ ...head, reasons });
	const record = { seq: 5, json, chain: chained("s", json) };
	const parts: ReturnType<typeof decodeLogPayload>[] = [];
	for (let offset = 0, isFirst = true; isFirst || offset > 0; isFirst = false) {
		const encoded = encodeBatch(9, [record], offset, 1);
		parts.push(decodeLogPayload(encoded.payload));
		offset = encoded.nextOffset;
	}
	const taken = (of: typeof parts) => {
		const pieces = new Parts();
		return of.map((part) => (part.type === "part" ? pieces.take(part) : null));
	};

	it("is whole after its last one, in any order, and twice does no harm", () => {
		expect(parts.length).toBeGreaterThan(2);
		for (const order of [parts, [...parts].reverse(), [...parts.slice(0, 2), ...parts]]) {
			const batch = taken(order).at(-1);
			expect(batch?.items).toEqual([{ type: "text", seq: 5, text: json }]);
			expect(batch?.chain).toBe(record.chain);
		}
	});

	it("is none while one of them is missing", () => {
		expect(taken(parts.slice(1))).toEqual(parts.slice(1).map(() => null));
	});
});
