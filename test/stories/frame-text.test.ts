// Text that is cut for a frame: what it takes on the line is what is counted, by the very writer
// of frames, and no character is cut in half.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { cutTo } from "../../firmware/frame-text.ts";
import { FrameWriter, sealed } from "../../firmware/link/framing.ts";

/** Bytes between the quotes of its JSON, with what the frame escapes of them. */
function onLine(text: string): number {
	const json = Buffer.from(JSON.stringify(text));
	let frame = 0;
	new FrameWriter((bytes) => {
		frame = bytes.length;
	}).send(json);
	const crc = sealed(json).subarray(-4);
	const crcEscapes = crc.filter((byte) => byte === 0xc0 || byte === 0xdb).length;
	return frame - 2 - 4 - crcEscapes - 2;
}

const anyText = fc.string({
	unit: fc.oneof(
		fc.constantFrom('"', "\\", "\n", "\u0000", "\u001f", "\u007f", "a", "ß", "ی", "ۀ", "ۿ", "漢"),
		fc.constantFrom("😀", "\ud83d", "\ude00", "\u2028", "\ufffd"),
		fc.string({ unit: "binary", minLength: 1, maxLength: 1 }),
	),
	maxLength: 80,
});

describe("a text that is cut", () => {
	it("takes no more on the line than was allowed, and could have taken no more", () => {
		fc.assert(
			fc.property(anyText, fc.integer({ min: 0, max: 120 }), (text, bytesMax) => {
				const kept = cutTo(text, bytesMax);
				expect(text.startsWith(kept)).toBe(true);
				expect(onLine(kept)).toBeLessThanOrEqual(bytesMax);
				const next = String.fromCodePoint(text.codePointAt(kept.length) ?? 0);
				if (kept !== text) expect(onLine(kept + next)).toBeGreaterThan(bytesMax);
			}),
			{ seed: 9, numRuns: 2_000 },
		);
	});

	it.each([
		["a picture", "ab😀", 5, "ab"],
		["a picture that fits", "ab😀", 6, "ab😀"],
		["half a pair alone", "\ud83d", 5, ""],
		["what JSON escapes", "\u0000\n", 7, "\u0000"],
		["what the frame escapes", "یی", 5, "ی"],
	])("%s", (_, text, bytesMax, kept) => {
		expect(cutTo(text, bytesMax)).toBe(kept);
	});
});
