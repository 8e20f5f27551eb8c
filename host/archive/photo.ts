// A photo as it may be kept: told by its first bytes, its structure followed to its end, and all
// left out that is no picture: EXIF with the place where the boat lies, XMP, comments, thumbnails,
// and whatever hangs behind the picture's end. Pure; imports the readers of two formats.
//
// JPEG: ITU-T T.81 annex B; JFIF and EXIF's tag for the orientation, from memory. PNG: W3C's
// specification, section 5 (chunks). Both from memory.

import { crc32 } from "node:zlib";
import type { PhotoKind } from "./note-answers.ts";
import { plainHeic } from "./photo-heic.ts";
import { asciiAt, joined, PhotoRefused, uint16, uint32 } from "./photo-parts.ts";
import { plainWebp } from "./photo-webp.ts";

export interface Photo {
	readonly kind: PhotoKind;
	readonly bytes: Uint8Array;
}

export const PHOTO_BYTES_MAX = 6_000_000;

const ALLOWED = "a photo as JPEG, PNG, WebP or HEIC, whole and of one picture";

const readers: Readonly<Record<PhotoKind, (bytes: Uint8Array) => Uint8Array>> = {
	jpeg: plainJpeg,
	png: plainPng,
	webp: plainWebp,
	heic: plainHeic,
};

/** @throws PhotoRefused when it is too large, of another kind, or not what it says that it is */
export function readPhoto(given: Uint8Array): Photo {
	if (given.length > PHOTO_BYTES_MAX) throw tooLarge(given.length);
	// A Buffer's slices are windows on it; those of a plain array are copies.
	const bytes = new Uint8Array(given);
	const kind = kindOf(bytes);
	if (kind === null) throw new PhotoRefused("a file that is no photo", ALLOWED);
	try {
		return { kind, bytes: readers[kind](bytes) };
	} catch (error) {
		// A length that points past the end is found by reading there.
		if (!(error instanceof RangeError)) throw error;
		throw new PhotoRefused(`a ${kind} file that is cut off`, ALLOWED);
	}
}

export function tooLarge(byteCount: number): PhotoRefused {
	const megabytes = (byteCount / 1e6).toFixed(1);
	return new PhotoRefused(`a photo of ${megabytes} MB`, `at most ${PHOTO_BYTES_MAX / 1e6} MB`);
}

function kindOf(bytes: Uint8Array): PhotoKind | null {
	if (bytes.length < 16) return null;
	if (bytes[0] === 0xff && bytes[1] === 0xd8 && bytes[2] === 0xff) return "jpeg";
	if (PNG_HEAD.every((byte, i) => bytes[i] === byte)) return "png";
	if (asciiAt(bytes, 0, 4) === "RIFF" && asciiAt(bytes, 8, 4) === "WEBP") return "webp";
	if (asciiAt(bytes, 4, 4) === "ftyp" && /^(hei[cx]|mif1)$/.test(asciiAt(bytes, 8, 4))) {
		return "heic";
	}
	return null;
}

const SOI = Uint8Array.of(0xff, 0xd8);
const EOI = Uint8Array.of(0xff, 0xd9);
const SCAN = 0xda;
const APP1 = 0xe1;

const isFrame = (marker: number): boolean =>
	marker >= 0xc0 && marker <= 0xcf && marker !== 0xc4 && marker !== 0xc8 && marker !== 0xcc;

/** Segments that a decoder needs: frames, tables, scans, colours. */
function isPicture(marker: number, body: Uint8Array): boolean {
	if (marker >= 0xc0 && marker <= 0xcf) return true;
	if (marker >= SCAN && marker <= 0xdd) return true;
	if (marker === 0xe0) return asciiAt(body, 0, 5) === "JFIF\0";
	if (marker === 0xe2) return asciiAt(body, 0, 12) === "ICC_PROFILE\0";
	return marker === 0xee && asciiAt(body, 0, 5) === "Adobe";
}

function plainJpeg(bytes: Uint8Array): Uint8Array {
	const parts: Uint8Array[] = [SOI];
	let hasFrame = false;
	let hasScan = false;
	let at = 2;
	for (;;) {
		const marker = markerAt(bytes, at);
		at = marker.end;
		if (marker.code === EOI[1]) break;
		const length = uint16(bytes, at);
		if (length < 2 || (marker.code >= 0xd0 && marker.code <= 0xd8) || marker.code < 0xc0) {
			throw new PhotoRefused("a file that only begins like a JPEG", ALLOWED);
		}
		if (at + length > bytes.length) throw new RangeError("segment");
		const body = bytes.subarray(at + 2, at + length);
		if (isPicture(marker.code, body)) {
			parts.push(Uint8Array.of(0xff, marker.code), bytes.subarray(at, at + length));
		} else if (marker.code === APP1) parts.push(...turned(body));
		at += length;
		hasFrame ||= isFrame(marker.code);
		if (marker.code !== SCAN) continue;
		hasScan = true;
		const end = scanEnd(bytes, at);
		parts.push(bytes.subarray(at, end));
		at = end;
	}
	if (!hasFrame || !hasScan) throw new PhotoRefused("a JPEG without a picture", ALLOWED);
	return joined([...parts, EOI]);
}

/** The marker there, behind any bytes that fill. */
function markerAt(bytes: Uint8Array, from: number): { code: number; end: number } {
	let at = from;
	if (at + 1 >= bytes.length) throw new RangeError("marker");
	if (bytes[at] !== 0xff) {
		throw new PhotoRefused("a file that only begins like a JPEG", ALLOWED);
	}
	while (bytes[at] === 0xff) at += 1;
	const code = bytes[at];
	if (code === undefined) throw new RangeError("marker");
	return { code, end: at + 1 };
}

/** Where coded data ends: at the next marker that is neither stuffing nor a restart. */
function scanEnd(bytes: Uint8Array, from: number): number {
	for (let at = from; at + 1 < bytes.length; at += 1) {
		if (bytes[at] !== 0xff) continue;
		const next = bytes[at + 1] ?? 0;
		if (next !== 0 && (next < 0xd0 || next > 0xd7)) return at;
	}
	throw new RangeError("scan");
}

const ORIENTATION = 0x0112;

/** Of EXIF nothing but how the phone was held: a picture on its side is hard to judge. */
function turned(body: Uint8Array): Uint8Array[] {
	if (asciiAt(body, 0, 6) !== "Exif\0\0") return [];
	const tiff = body.subarray(6);
	const order = asciiAt(tiff, 0, 2);
	if (tiff.length < 14 || (order !== "II" && order !== "MM")) return [];
	const isLittle = order === "II";
	const view = new DataView(tiff.buffer, tiff.byteOffset, tiff.length);
	const first = view.getUint32(4, isLittle);
	if (first + 2 > tiff.length) return [];
	const count = view.getUint16(first, isLittle);
	for (let i = 0; i < count; i += 1) {
		const entry = first + 2 + 12 * i;
		if (entry + 12 > tiff.length) return [];
		if (view.getUint16(entry, isLittle) !== ORIENTATION) continue;
		const way = view.getUint16(entry + 8, isLittle);
		return way > 1 && way <= 8 ? [orientation(way)] : [];
	}
	return [];
}

/** A segment with that one tag: EXIF in a TIFF head of big-endian numbers. */
function orientation(way: number): Uint8Array {
	const exif = [...Buffer.from("Exif\0\0MM\0*", "latin1"), 0, 0, 0, 8, 0, 1];
	const tag = [1, 0x12, 0, 3, 0, 0, 0, 1, 0, way, 0, 0, 0, 0, 0, 0];
	const length = 2 + exif.length + tag.length;
	return Uint8Array.of(0xff, APP1, 0, length, ...exif, ...tag);
}

const PNG_HEAD = [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a];
/** Chunks of the picture and its colours; the rest is text, time, EXIF or somebody's own. */
const PNG_CHUNKS = new Set(
	"IHDR PLTE tRNS IDAT IEND gAMA cHRM sRGB iCCP cICP sBIT pHYs bKGD".split(" "),
);

function plainPng(bytes: Uint8Array): Uint8Array {
	const parts: Uint8Array[] = [bytes.subarray(0, 8)];
	let hasData = false;
	for (let at = 8; ; ) {
		const length = uint32(bytes, at);
		const end = at + 12 + length;
		if (end > bytes.length) throw new RangeError("chunk");
		const type = asciiAt(bytes, at + 4, 4);
		const sum = uint32(bytes, end - 4);
		if (crc32(bytes.subarray(at + 4, end - 4)) !== sum || (at === 8) !== (type === "IHDR")) {
			throw new PhotoRefused("a file that only begins like a PNG", ALLOWED);
		}
		if (PNG_CHUNKS.has(type)) parts.push(bytes.subarray(at, end));
		hasData ||= type === "IDAT";
		if (type === "IEND") break;
		at = end;
	}
	if (!hasData) throw new PhotoRefused("a PNG without a picture", ALLOWED);
	return joined(parts);
}
