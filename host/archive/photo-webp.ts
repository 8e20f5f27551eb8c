// A WebP photo without EXIF, XMP and whatever else is no picture. The container is RIFF, its chunks
// those of the WebP container specification (from memory). Pure.

import { asciiAt, joined, PhotoRefused } from "./photo-parts.ts";

const ALLOWED = "a whole WebP photo of one picture";
const CHUNKS = new Set(["VP8 ", "VP8L", "VP8X", "ALPH", "ICCP"]);
/** Flags of `VP8X`: there is EXIF, there is XMP. */
const SAYS_METADATA = 0x08 | 0x04;

/** @throws PhotoRefused when it is none; RangeError when it is cut off */
export function plainWebp(bytes: Uint8Array): Uint8Array {
	const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
	const end = 8 + view.getUint32(4, true);
	if (end > bytes.length) throw new RangeError("file");
	const parts: Uint8Array[] = [];
	let hasData = false;
	for (let at = 12; at < end; ) {
		const type = asciiAt(bytes, at, 4);
		const length = view.getUint32(at + 4, true);
		const next = at + 8 + length + (length % 2);
		if (next > end) throw new RangeError("chunk");
		if (type === "ANIM" || type === "ANMF") throw new PhotoRefused("a WebP that moves", ALLOWED);
		if (CHUNKS.has(type)) {
			const chunk = bytes.slice(at, next);
			if (type === "VP8X") chunk[8] = (chunk[8] ?? 0) & ~SAYS_METADATA;
			parts.push(chunk);
		}
		hasData ||= type === "VP8 " || type === "VP8L";
		at = next;
	}
	if (!hasData) throw new PhotoRefused("a WebP without a picture", ALLOWED);
	const whole = joined([bytes.subarray(0, 12), ...parts]);
	new DataView(whole.buffer).setUint32(4, whole.length - 8, true);
	return whole;
}
