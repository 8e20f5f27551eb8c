// Samples in columns come back letter by letter whatever they say, what would not come back is not
// taken, and bytes from anywhere end in samples or in one kind of error.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { LogRecord } from "../../firmware/log/record.ts";
import { textOf } from "../../firmware/log/record-text.ts";
import {
	packSamples,
	runFrom,
	SAMPLE_SCALES,
	SampleRun,
	UNKNOWN_WORDS,
	unpackSamples,
} from "../../firmware/log/sample-columns.ts";
import { BadBytes, ByteReader, ByteWriter } from "../../firmware/log/varint.ts";

const seed = 20_261_128;

const quantity = (scale: number) =>
	fc.oneof(
		{ weight: 6, arbitrary: fc.integer({ min: -300, max: 40_000 }).map((n) => n / scale) },
		{ weight: 1, arbitrary: fc.integer({ min: -1e9, max: 1e9 }).map((n) => n / scale) },
		{ weight: 2, arbitrary: fc.constantFrom(...UNKNOWN_WORDS) },
	);
const count = fc.oneof(fc.nat(1_000_000), fc.integer({ min: 0, max: 2 ** 50 }));
const body = fc.record({
	monoMs: count,
	flowLph: quantity(SAMPLE_SCALES.flowLph),
	vacuumKpa: quantity(SAMPLE_SCALES.vacuumKpa),
	supplyVolts: quantity(SAMPLE_SCALES.supplyVolts),
	motorAmps: quantity(SAMPLE_SCALES.motorAmps),
	fuelC: quantity(SAMPLE_SCALES.fuelC),
	run: fc.record({ motorMs: count, pulses: count }),
});
type Body = typeof body extends fc.Arbitrary<infer B> ? B : never;

function textsOf(seq: number, boot: number, bodies: readonly Body[]): string[] {
	return bodies.map(({ monoMs, run, ...rest }, i) => {
		// A negative nought has no text of its own, and no sample says it.
		const plain = Object.entries(rest).map(([key, value]) => [
			key,
			Object.is(value, -0) ? 0 : value,
		]);
		const values = Object.fromEntries(plain) as typeof rest;
		const { motorMs, pulses } = run;
		const head = { seq: seq + i, boot, monoMs, kind: "sample" as const };
		const record: LogRecord = {
			...head,
			flowLph: values.flowLph,
			vacuumKpa: values.vacuumKpa,
			supplyVolts: values.supplyVolts,
			motorAmps: values.motorAmps,
			fuelC: values.fuelC,
			run: { motorMs, pulses },
		};
		return textOf(record);
	});
}

const head = fc.tuple(fc.integer({ min: 1, max: 2 ** 40 }), fc.integer({ min: 1, max: 100_000 }));
const row = fc.array(body, { minLength: 1, maxLength: 60 });

describe("samples in columns", () => {
	it("come back letter by letter", () => {
		fc.assert(
			fc.property(head, row, ([seq, boot], bodies) => {
				const texts = textsOf(seq, boot, bodies);
				const packed = packSamples(texts);
				expect(packed).not.toBeNull();
				if (packed !== null) expect(unpackSamples(packed, seq)).toEqual(texts);
			}),
			{ seed, numRuns: 1_000 },
		);
	});

	it("come back from the first part of a run too", () => {
		fc.assert(
			fc.property(head, row, fc.nat(), ([seq, boot], bodies, cut) => {
				const texts = textsOf(seq, boot, bodies);
				const run = new SampleRun(seq, boot);
				expect(texts.every((text) => run.add(text))).toBe(true);
				const kept = 1 + (cut % texts.length);
				expect(unpackSamples(run.pack(kept), seq)).toEqual(texts.slice(0, kept));
			}),
			{ seed, numRuns: 300 },
		);
	});

	it("of a steady run take under 9 bytes each before they are deflated", () => {
		const bodies = Array.from({ length: 600 }, (_, i) => ({
			monoMs: 60_000 + i * 1_000 + (i % 3),
			flowLph: (900 + ((i * 13) % 20)) / 10,
			vacuumKpa: (1_450 + ((i * 7) % 50)) / 100,
			supplyVolts: (1_260 + (i % 7)) / 100,
			motorAmps: (180 + (i % 9)) / 100,
			fuelC: 15,
			run: { motorMs: 50_000 + i * 1_000 + (i % 3), pulses: i * 10 + (i % 2) },
		}));
		const packed = packSamples(textsOf(1, 1, bodies));
		expect(packed?.length).toBeLessThan(600 * 9);
	});
});

describe("a text is not taken", () => {
	const [good = ""] = textsOf(7, 2, [
		{
			monoMs: 1_000,
			flowLph: 90.7,
			vacuumKpa: 14.5,
			supplyVolts: 12.6,
			motorAmps: "stale",
			fuelC: 15,
			run: { motorMs: 900, pulses: 10 },
		},
	]);
	it.each<[string, string]>([
		["of another number", good.replace('"seq":7', '"seq":8')],
		["of another boot", good.replace('"boot":2', '"boot":3')],
		["with more digits than its column", good.replace("90.7", "90.71")],
		["with a number spelt otherwise", good.replace("90.7", "90.70")],
		["with a negative nought", good.replace("90.7", "-0")],
		["with a word that is not known", good.replace("stale", "lost")],
		["with a key more", good.replace('"pulses":10', '"pulses":10,"drops":1')],
		["with a key less", good.replace('"fuelC":15,', "")],
		["with a negative count", good.replace('"pulses":10', '"pulses":-1')],
		["with a count of halves", good.replace('"pulses":10', '"pulses":0.5')],
		["of the version before", good.replace('"v":2', '"v":1')],
		["of another kind", good.replace('"sample"', '"simple"')],
		["that is cut off", good.slice(0, -1)],
	])("%s", (_, text) => {
		const run = runFrom(good);
		expect(run?.add(text)).toBe(false);
		expect(run?.add(good)).toBe(true);
		expect(run?.texts()).toEqual([good]);
	});
});

describe("bytes from anywhere", () => {
	const readOrRefuse = (bytes: Uint8Array) => {
		try {
			const texts = unpackSamples(bytes, 1);
			expect(texts.length).toBeLessThanOrEqual(bytes.length);
		} catch (error) {
			expect(error).toBeInstanceOf(BadBytes);
		}
	};

	it("are samples or refused, at any length", () => {
		fc.assert(fc.property(fc.uint8Array({ maxLength: 400 }), readOrRefuse), {
			seed,
			numRuns: 3_000,
		});
	});

	it("are samples or refused when a good run is cut or changed", () => {
		const change = fc.tuple(fc.nat(), fc.integer({ min: 0, max: 255 }));
		fc.assert(
			fc.property(head, row, change, fc.boolean(), ([seq, boot], bodies, [at, byte], cuts) => {
				const packed = packSamples(textsOf(seq, boot, bodies)) ?? new Uint8Array();
				const place = at % packed.length;
				if (cuts) {
					expect(() => unpackSamples(packed.subarray(0, place), 1)).toThrow(BadBytes);
					return;
				}
				packed[place] = byte;
				readOrRefuse(packed);
			}),
			{ seed, numRuns: 1_000 },
		);
	});

	it("that claim a run without end are refused before anything is made of them", () => {
		const writer = new ByteWriter();
		writer.varint(Number.MAX_SAFE_INTEGER);
		writer.append(new Uint8Array(300));
		expect(() => unpackSamples(writer.written(), 1)).toThrow("a length that cannot be");
	});

	it("that claim stretches without end are refused", () => {
		const writer = new ByteWriter();
		// Two samples of boot 1; their times 0 and 0; then a quantity of nothing but stretches.
		for (const value of [2, 1, 0, 0, 0, 0, 2 ** 50]) writer.varint(value);
		writer.append(new Uint8Array(100));
		expect(() => unpackSamples(writer.written(), 1)).toThrow("a stretch of words that cannot be");
	});
});

describe("a varint", () => {
	// LEB128: DWARF 5 standard, section 7.6, figure "Examples of unsigned LEB128 encodings".
	it.each<[number, number[]]>([
		[2, [2]],
		[127, [127]],
		[128, [0x80, 1]],
		[129, [0x81, 1]],
		[12_857, [0xb9, 0x64]],
	])("%i", (value, bytes) => {
		const writer = new ByteWriter();
		writer.varint(value);
		expect([...writer.written()]).toEqual(bytes);
		expect(new ByteReader(Uint8Array.from(bytes)).varint()).toBe(value);
	});

	it("of any size comes back, with a sign or without", () => {
		fc.assert(
			fc.property(fc.maxSafeNat(), fc.integer({ min: -(2 ** 51), max: 2 ** 51 }), (n, z) => {
				const writer = new ByteWriter();
				writer.varint(n);
				writer.signed(z);
				const reader = new ByteReader(writer.written());
				expect([reader.varint(), reader.signed(), reader.left]).toEqual([n, z, 0]);
			}),
			{ seed, numRuns: 1_000 },
		);
	});

	it("beyond 2^53 is refused", () => {
		const bytes = Uint8Array.from([...Array(7).fill(0xff), 0x7f]);
		expect(() => new ByteReader(bytes).varint()).toThrow("too large");
	});
});
