// Frames: garbage first, then what RFC 1055 and the CRC catalogue say, then what a hostile line
// does. A good frame after any broken one arrives.

import { crc32 } from "node:zlib";
import fc from "fast-check";
import { SlipEncoder } from "serialport";
import { describe, expect, it } from "vitest";
import * as z from "zod";
import {
	FrameReader,
	FrameWriter,
	PAYLOAD_BYTES_MAX,
	RAW_BYTES_MAX,
	sealed,
	unsealed,
} from "../../firmware/link/framing.ts";
import { rows } from "../reference/rows.ts";

const END = 0xc0;

function read(...chunks: Buffer[]): { payloads: string[]; reader: FrameReader } {
	const payloads: string[] = [];
	const reader = new FrameReader((payload) => payloads.push(payload.toString("latin1")));
	for (const chunk of chunks) reader.push(chunk);
	return { payloads, reader };
}

function framed(...payloads: string[]): Buffer {
	const parts: Buffer[] = [];
	const writer = new FrameWriter((bytes) => parts.push(bytes));
	for (const payload of payloads) writer.send(Buffer.from(payload, "latin1"));
	return Buffer.concat(parts);
}

it("a reader stops after so many frames, and says how far it came", () => {
	const payloads: string[] = [];
	const reader = new FrameReader((payload) => payloads.push(payload.toString("latin1")));
	const line = framed("a", "b", "c");
	const used = reader.take(line, 2);
	expect(payloads).toEqual(["a", "b"]);
	expect(reader.take(line.subarray(used), 2)).toBe(line.length - used);
	expect(payloads).toEqual(["a", "b", "c"]);
});

const settle = () => new Promise<void>((resolve) => setImmediate(resolve));

describe("a frame arrives", () => {
	it.each<[string, Buffer[]]>([
		["after noise without an END", [Buffer.from("garbage"), framed("a")]],
		["after a run far longer than any frame", [Buffer.alloc(10_000, 0x55), framed("a")]],
		["after a broken escape", [Buffer.from([END, 1, 2, 0xdb, 7, END]), framed("a")]],
		[
			"after an escape cut off by its own frame's END",
			[Buffer.from([END, 1, 0xdb, END]), framed("a")],
		],
		["after an escape cut off by the END of the next", [Buffer.from([END, 1, 0xdb]), framed("a")]],
		["byte by byte", [...framed("a")].map((byte) => Buffer.from([byte]))],
		["with empty chunks between", [Buffer.alloc(0), framed("a"), Buffer.alloc(0)]],
		["after many ENDs", [Buffer.alloc(50, END), framed("a")]],
		["after one with a wrong CRC", [Buffer.from([END, 1, 2, 3, 4, 5, 6, END]), framed("a")]],
	])("%s", async (_, chunks) => {
		const { payloads } = read(...chunks);
		await settle();
		expect(payloads.at(-1)).toBe("a");
	});

	it("two in one chunk are two", async () => {
		const { payloads } = read(framed("a", "b"));
		await settle();
		expect(payloads).toEqual(["a", "b"]);
	});

	it("whatever its bytes, whatever the cuts", async () => {
		const chunks = fc.array(fc.uint8Array({ minLength: 1, maxLength: 60 }), { minLength: 1 });
		await fc.assert(
			fc.asyncProperty(chunks, fc.integer({ min: 1, max: 40 }), async (list, cut) => {
				const sent = list.map((bytes) => Buffer.from(bytes).toString("latin1"));
				const line = framed(...sent);
				const parts: Buffer[] = [];
				for (let at = 0; at < line.length; at += cut) parts.push(line.subarray(at, at + cut));
				const { payloads } = read(...parts);
				await settle();
				expect(payloads).toEqual(sent);
			}),
			{ seed: 20_261_127, numRuns: 200 },
		);
	});
});

describe("a frame is refused", () => {
	it("with any one bit turned", () => {
		const good = sealed(Buffer.from("polish port"));
		for (let bit = 0; bit < good.length * 8; bit += 1) {
			const bad = Buffer.from(good);
			bad[bit >> 3] = (bad[bit >> 3] ?? 0) ^ (1 << (bit & 7));
			expect(unsealed(bad)).toBeNull();
		}
		expect(unsealed(good)?.toString()).toBe("polish port");
	});

	it("when it is longer than any frame, and counted", async () => {
		const { payloads, reader } = read(framed("x".repeat(RAW_BYTES_MAX + 1)), framed("a"));
		await settle();
		expect(payloads).toEqual(["a"]);
		expect(reader.counts.oversized).toBe(1);
	});

	it("with a broken escape, and counted, however long the line goes on", async () => {
		const broken = Buffer.from([END, 1, 2, 3, 0xdb, 0xdb, 0xdc, 9, END]);
		const { payloads, reader } = read(...Array.from({ length: 500 }, () => broken), framed("a"));
		await settle();
		expect(payloads).toEqual(["a"]);
		expect(reader.counts).toEqual({ good: 1, damaged: 500, oversized: 0 });
	});

	it("a payload of the largest size still passes", async () => {
		const payload = "x".repeat(PAYLOAD_BYTES_MAX);
		const { payloads } = read(framed(payload));
		await settle();
		expect(payloads).toEqual([payload]);
	});
});

describe("against the outside", () => {
	const row = (id: string) => {
		const found = rows.find((candidate) => candidate.id === id);
		if (found === undefined) throw new Error(`no row ${id}`);
		return found;
	};

	it("CRC-32/ISO-HDLC: row crc-crc-32-iso-hdlc, catalogue of parametrised CRC algorithms", () => {
		const { expected } = row("crc-crc-32-iso-hdlc");
		expect(crc32(Buffer.from("123456789"))).toBe(Number(expected.check));
		expect(crc32(Buffer.alloc(0))).toBe(Number(expected.crc_of_empty));
		expect(crc32(Buffer.from([0]))).toBe(Number(expected.crc_of_single_00));
	});

	it("SLIP: row slip-rfc1055, RFC 1055 with a leading END", () => {
		const { inputs, expected } = row("slip-rfc1055");
		const list = z.array(z.string());
		const framings = list.parse(expected.framed_with_leading_END_hex);
		list.parse(inputs.raw_hex).forEach((hex, i) => {
			const encoder = new SlipEncoder({ bluetoothQuirk: true });
			encoder.write(Buffer.from(hex, "hex"));
			expect(encoder.read().toString("hex")).toBe(framings[i]);
		});
	});
});
