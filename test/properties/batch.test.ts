// Log frames: whatever the records, all of them come back letter by letter with the chain after
// them, in frames that fit the line; bytes from anywhere end in records or in one kind of error.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
	type Batch,
	BODY_BYTES_MAX,
	decodeLogPayload,
	type EncodedBatch,
	encodeBatch,
	LOG_FRAME_BYTES_MAX,
	rawLength,
	textOfParts,
} from "../../firmware/link/batch.ts";
import { FrameFiller } from "../../firmware/link/frame-filler.ts";
import { FrameWriter } from "../../firmware/link/framing.ts";
import { chained, type StoredRecord } from "../../firmware/log/chain.ts";
import { BadBytes } from "../../firmware/log/varint.ts";
import { logOf, STORE_ID, sampleTexts } from "../stories/link-rig.ts";

const seed = 20_261_129;

/** Texts of events and of samples in any order, some of them of megabytes' noise. */
const kinds = fc.array(
	fc.oneof(
		{ weight: 5, arbitrary: fc.integer({ min: 1, max: 300 }).map((count) => ({ samples: count })) },
		{ weight: 5, arbitrary: fc.string({ maxLength: 120 }).map((reason) => ({ reason })) },
		{
			weight: 1,
			arbitrary: fc.string({ unit: "grapheme", maxLength: 60 }).map((reason) => ({ reason })),
		},
		{ weight: 1, arbitrary: fc.integer({ min: 200, max: 6_000 }).map((noise) => ({ noise })) },
	),
	{ minLength: 1, maxLength: 12 },
);

function textsOf(parts: ReadonlyArray<{ samples?: number; reason?: string; noise?: number }>) {
	const texts: string[] = [];
	for (const { samples, reason, noise } of parts) {
		if (samples !== undefined) {
			for (const text of sampleTexts(samples)) {
				texts.push(text.replace(/^\{"seq":\d+/, `{"seq":${texts.length + 1}`));
			}
			continue;
		}
		const head = { seq: texts.length + 1, boot: 1, monoMs: 7, v: 1, kind: "order-refused" };
		const reasons = [reason ?? noiseText(noise ?? 0)];
		texts.push(JSON.stringify({ ...head, id: "a", reasons }));
	}
	return texts;
}

/** Text that hardly packs. */
function noiseText(length: number): string {
	let state = 12_345;
	return Array.from({ length }, () => {
		state = (state * 48_271) % 2_147_483_647;
		return String.fromCharCode(33 + (state % 90));
	}).join("");
}

function sentOf(records: readonly StoredRecord[], from = 1, to = records.length): EncodedBatch[] {
	const filler = new FrameFiller();
	const source = {
		read: (first: number, max: number) => records.filter(({ seq }) => seq >= first).slice(0, max),
	};
	const sent: EncodedBatch[] = [];
	for (let [seq, offset] = [from, 0]; seq <= to; ) {
		const batch = filler.fill(source, { transfer: 7, from: seq, offset, to });
		if (batch === null) throw new Error(`nothing from ${seq}`);
		sent.push(batch);
		[seq, offset] = [batch.nextSeq, batch.nextOffset];
	}
	return sent;
}

/** Reads frames as a client does, and checks every chain value that they state. */
function textsIn(frames: readonly EncodedBatch[]): string[] {
	const texts: string[] = [];
	let chain = STORE_ID;
	let parts: Uint8Array[] = [];
	const add = (text: string) => {
		texts.push(text);
		chain = chained(chain, text);
	};
	for (const { payload } of frames) {
		const frame = decodeLogPayload(payload);
		expect(frame.transfer).toBe(7);
		if (frame.type === "part") {
			parts.push(frame.bytes);
			const held = Buffer.concat(parts);
			expect(held.length).toBe(frame.offset + frame.bytes.length);
			if (held.length < frame.total) continue;
			add(textOfParts(frame.seq, held));
			parts = [];
		} else addItems(frame, add);
		expect(frame.chain).toBe(chain);
	}
	return texts;
}

function addItems({ items }: Batch, add: (text: string) => void): void {
	for (const item of items) {
		if (item.type === "text") add(item.text);
		else item.run.texts().forEach(add);
	}
}

const rawOf = (payload: Uint8Array): number => {
	let raw = 0;
	new FrameWriter((bytes) => {
		raw = bytes.length;
	}).send(payload);
	return raw;
};

describe("log frames", () => {
	it("bring any records letter by letter, with the chain, in frames that fit", () => {
		fc.assert(
			fc.property(kinds, (parts) => {
				const texts = textsOf(parts);
				const sent = sentOf(logOf(texts));
				expect(textsIn(sent)).toEqual(texts);
				for (const { payload } of sent) {
					const raw = rawOf(payload);
					expect(raw).toBe(rawLength(payload));
					expect(raw).toBeLessThanOrEqual(LOG_FRAME_BYTES_MAX);
				}
			}),
			{ seed, numRuns: 150 },
		);
	});

	it("are full while there are records: 97 % on average, and none under 90 %", () => {
		const sent = sentOf(logOf(sampleTexts(5_000))).slice(0, -1);
		const raw = sent.map(({ payload }) => rawLength(payload));
		const mean = raw.reduce((sum, bytes) => sum + bytes, 0) / raw.length;
		expect(mean).toBeGreaterThan(0.97 * LOG_FRAME_BYTES_MAX);
		expect(Math.min(...raw)).toBeGreaterThan(0.9 * LOG_FRAME_BYTES_MAX);
	});

	it("begin and end where it was asked", () => {
		const texts = sampleTexts(500);
		const sent = sentOf(logOf(texts), 123, 321);
		expect(sent[0]?.fromSeq).toBe(123);
		expect(sent.at(-1)?.toSeq).toBe(321);
		const frame = decodeLogPayload(sent[0]?.payload ?? new Uint8Array());
		const first = frame.type === "batch" ? frame.items[0] : undefined;
		expect(first?.type === "samples" ? first.run.text(0) : "").toBe(texts[122]);
	});

	it("carry a digest under the numbers that it stands for", () => {
		const digest = JSON.stringify({
			seq: 900,
			boot: 1,
			monoMs: 9,
			v: 1,
			kind: "digest",
			fromSeq: 2,
			fromMs: 3,
		});
		const [first = "", after = ""] = [1, 901].map((seq) =>
			JSON.stringify({ seq, boot: 1, monoMs: 1, v: 1, kind: "drain-seen" }),
		);
		const records = [
			{ seq: 1, json: first, chain: "11".repeat(16) },
			{ seq: 900, json: digest, chain: "22".repeat(16) },
			{ seq: 901, json: after, chain: "33".repeat(16) },
		];
		const all = encodeBatch(1, records, 0, 9);
		expect([all.fromSeq, all.toSeq, all.nextSeq]).toEqual([1, 901, 902]);
		const decoded = decodeLogPayload(all.payload);
		const seqs =
			decoded.type === "batch" ? decoded.items.map((item) => "seq" in item && item.seq) : [];
		expect(seqs).toEqual([1, 900, 901]);
		const fromWithin = sentOf(records, 500, 901)[0];
		expect([fromWithin?.fromSeq, fromWithin?.toSeq]).toEqual([2, 901]);
	});
});

describe("a payload from anywhere", () => {
	const readOrRefuse = (payload: Uint8Array) => {
		try {
			const frame = decodeLogPayload(payload);
			expect(["batch", "part"]).toContain(frame.type);
		} catch (error) {
			expect(error).toBeInstanceOf(BadBytes);
		}
	};
	const [good] = sentOf(logOf(textsOf([{ reason: "a" }, { samples: 40 }, { reason: "b" }])));
	const payload = good?.payload ?? new Uint8Array();

	it("is read or refused", () => {
		fc.assert(
			fc.property(fc.uint8Array({ maxLength: 500 }), fc.constantFrom(1, 2, 0x7b), (bytes, tag) => {
				readOrRefuse(Uint8Array.from([tag, ...bytes]));
			}),
			{ seed, numRuns: 3_000 },
		);
	});

	it("is read or refused when it was good and one byte is another, or its end is missing", () => {
		for (let at = 0; at < payload.length; at += 1) {
			for (const change of [1, 0x80, 0xff]) {
				const bad = Uint8Array.from(payload);
				bad[at] = (bad[at] ?? 0) ^ change;
				readOrRefuse(bad);
			}
			expect(() => decodeLogPayload(payload.subarray(0, at))).toThrow(BadBytes);
		}
	});

	it("is refused when its body would grow without bound", async () => {
		const { deflateRawSync } = await import("node:zlib");
		const bomb = deflateRawSync(Buffer.alloc(BODY_BYTES_MAX + 1));
		expect(bomb.length).toBeLessThan(LOG_FRAME_BYTES_MAX);
		const head = [1, 1, 1, 1, ...Array(16).fill(0)];
		expect(() => decodeLogPayload(Uint8Array.from([...head, ...bomb]))).toThrow("do not inflate");
	});

	it("is refused when it holds other records than it names", async () => {
		const { deflateRawSync } = await import("node:zlib");
		const text = '{"seq":5,"boot":1}';
		const body = Buffer.concat([Buffer.from([0, text.length]), Buffer.from(text)]);
		const named = (from: number, to: number) =>
			Uint8Array.from([1, 1, from, to, ...Array(16).fill(0), ...deflateRawSync(body)]);
		expect(decodeLogPayload(named(5, 5)).type).toBe("batch");
		expect(() => decodeLogPayload(named(4, 5))).toThrow("out of order");
		expect(() => decodeLogPayload(named(5, 6))).toThrow("not the records it names");
	});
});
