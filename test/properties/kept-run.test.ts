// A kept run as bytes: whatever a tape holds comes back number by number, and whatever happens to
// the file is told with the byte where it shows, never taken for a run.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { ALL_OFF, type Reading } from "../../firmware/board/port.ts";
import type { TickInputs } from "../../firmware/controller.ts";
import { decodeRun, encodeRun, type KeptRun } from "../../firmware/log/kept-run.ts";
import { HUNG, Tape, wholeReadings } from "../../firmware/log/tape.ts";
import { packTicks, TICKS_PACKED, unpackTicks } from "../../firmware/log/tape-bytes.ts";
import { BadBytes } from "../../firmware/log/varint.ts";

const SEED = 20_261_126;
const CHANNELS = ["flow-pulse", "vacuum", "board"];
const whole32 = fc.integer({ min: -2_147_483_647, max: 2_147_483_647 });
const reading = fc.option(fc.record({ raw: whole32, ageMs: fc.nat() }), { nil: undefined });
const tick = fc.record({
	afterMs: fc.integer({ min: 1, max: 5_000 }),
	readings: fc.tuple(reading, reading, reading),
	commands: fc.constantFrom([], [{ type: "stop", id: "a" } as const]),
	commissioned: fc.boolean(),
	log: fc.record({ durableSeq: fc.nat(), ageMs: fc.nat(), failed: fc.boolean() }),
	horn: fc.option(fc.boolean(), { nil: null }),
});

type Drawn = typeof tick extends fc.Arbitrary<infer T> ? T : never;

/** @param firstMs of the first tick: a boot of months has no 32 bits */
function tapeOf(ticks: ReadonlyArray<Drawn>, firstMs: number) {
	const tape = new Tape(CHANNELS);
	const pushed: TickInputs[] = [];
	let nowMs = firstMs;
	for (const { afterMs, readings, horn, ...rest } of ticks) {
		const named: Record<string, Reading> = {};
		readings.forEach((one, i) => {
			if (one !== undefined) named[CHANNELS[i] ?? ""] = one;
		});
		const inputs = { nowMs, readings: named, ...rest };
		pushed.push(inputs);
		tape.push(inputs, horn === null ? null : { ...ALL_OFF, horn });
		nowMs += afterMs;
	}
	return { tape, pushed };
}

const isHung = ({ horn }: Drawn) => horn === null;

describe("ticks as bytes", () => {
	it("come back as they were told, however long the boot", () => {
		fc.assert(
			fc.property(
				fc.array(tick, { minLength: 1, maxLength: 40 }),
				fc.constantFrom(0, 86_400_000, 9_000_000_000),
				(ticks, firstMs) => {
					const { tape, pushed } = tapeOf(ticks, firstMs);
					const back = new Tape(CHANNELS);
					const middle = Math.ceil(tape.length / 2);
					unpackTicks(packTicks(tape, 0, middle), back);
					if (middle < tape.length) unpackTicks(packTicks(tape, middle, tape.length), back);
					expect(back.length).toBe(pushed.length);
					pushed.forEach((inputs, i) => {
						expect(back.inputsAt(i)).toEqual(inputs);
						expect(back.levelsAt(i)).toBe(tape.levelsAt(i));
						expect(back.levelsAt(i) === HUNG).toBe(isHung(ticks[i] as (typeof ticks)[number]));
					});
					expect(Tape.fromJson(JSON.parse(JSON.stringify(tape.toJson()))).toJson()).toEqual(
						tape.toJson(),
					);
				},
			),
			{ seed: SEED },
		);
	});

	it("hold what a board with a finer clock reports, once it is made whole", () => {
		const readings = wholeReadings({
			"flow-pulse": { raw: 17, ageMs: 999.4999 },
			vacuum: { raw: 511.6, ageMs: 4e9 },
			board: { raw: Number.NaN, ageMs: 0.2 },
		});
		expect(readings["flow-pulse"]).toEqual({ raw: 17, ageMs: 999 });
		expect(readings.vacuum).toEqual({ raw: 512, ageMs: 2_147_483_647 });
		const log = { durableSeq: 0, ageMs: 0, failed: false };
		const tape = new Tape(CHANNELS);
		tape.push({ nowMs: 1, readings, commands: [], commissioned: false, log }, ALL_OFF);
		expect(tape.inputsAt(0).readings).toEqual(readings);
	});

	it("are no more than a minute's in one piece", () => {
		const many = Array.from({ length: TICKS_PACKED + 1 }, () => ({
			...{ afterMs: 100, readings: [undefined, undefined, undefined] as const, commands: [] },
			...{ commissioned: false, log: { durableSeq: 1, ageMs: 0, failed: false }, horn: false },
		}));
		const { tape } = tapeOf(many as never, 0);
		expect(() => unpackTicks(packTicks(tape, 0, tape.length), new Tape(CHANNELS))).toThrow(
			BadBytes,
		);
	});
});

/** Small, with all kinds of sections. */
function smallRun(): KeptRun {
	const one = {
		...{ afterMs: 100, commands: [], commissioned: true, horn: false },
		readings: [{ raw: 7, ageMs: 0 }, undefined, { raw: 1, ageMs: 3 }],
		log: { durableSeq: 2, ageMs: 0, failed: false },
	} as const;
	const { tape } = tapeOf([one, one, one] as never, 100);
	const origin = { logic: { version: "1", hash: "a" }, rig: { rig: "r" }, pins: { board: "b" } };
	return {
		head: { source: { type: "window", storeId: "s", seq: 9, boot: 2 }, origin },
		stretches: [
			{ begin: { type: "boot", nowMs: 0 }, tape, texts: ['{"seq":1}', '{"seq":2}'] },
			{ begin: { type: "state", state: { nowMs: 100 } }, tape, texts: null },
		],
	};
}

describe("a kept run", () => {
	it("comes back whole", () => {
		const run = smallRun();
		const back = decodeRun(encodeRun(run));
		expect(back.head).toEqual(run.head);
		expect(back.stretches.map(({ begin, texts }) => ({ begin, texts }))).toEqual(
			run.stretches.map(({ begin, texts }) => ({ begin, texts })),
		);
		expect(back.stretches.map(({ tape }) => tape.toJson())).toEqual(
			run.stretches.map(({ tape }) => tape.toJson()),
		);
	});

	it("that ends early is none, wherever it ends", () => {
		const bytes = encodeRun(smallRun());
		for (let end = 0; end < bytes.length; end += 1) {
			expect(() => decodeRun(bytes.subarray(0, end))).toThrow(BadBytes);
		}
		expect(() => decodeRun(bytes.subarray(0, 60))).toThrow("a file that ends early, at byte 60");
	});

	it("of which a byte is another is none, whichever it is", () => {
		const bytes = encodeRun(smallRun());
		for (let at = 0; at < bytes.length; at += 1) {
			const spoilt = Uint8Array.from(bytes);
			spoilt[at] = (spoilt[at] ?? 0) ^ 0x20;
			expect(() => decodeRun(spoilt)).toThrow(BadBytes);
		}
	});

	it("says where it is damaged, and that it is of a newer version", () => {
		const bytes = Buffer.from(encodeRun(smallRun()));
		const damaged = Buffer.from(bytes);
		damaged[40] = (damaged[40] ?? 0) ^ 1;
		expect(() => decodeRun(damaged)).toThrow("a damaged section (wrong CRC), at byte 8");
		const newer = Buffer.from(bytes);
		newer[7] = 2;
		expect(() => decodeRun(newer)).toThrow("a kept run of version 2; this program knows 1");
		expect(() => decodeRun(Buffer.concat([bytes, Buffer.of(0)]))).toThrow(BadBytes);
		expect(() => decodeRun(Buffer.from("oil change in spring"))).toThrow("no kept run at byte 0");
	});
});
