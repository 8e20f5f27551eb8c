// Frames that carry a window of tick inputs: a piece of its bytes, and what they are a piece of.
// Layout in PROTOCOL.md. Encoded in the store's thread, decoded by whoever fetches windows.

import { crc32 } from "node:zlib";
import { BadBytes, ByteReader, ByteWriter } from "../log/varint.ts";
import { LOG_FRAME_BYTES_MAX, rawLength } from "./batch.ts";

const WINDOW = 3;
/** Bytes of a window: six times what ten minutes on a real board come to. */
export const WINDOW_BYTES_MAX = 4_194_304;

/** The next frame of a window. */
export interface WindowPartWant {
	readonly transfer: number;
	/** The record that has pinned it. */
	readonly seq: number;
	readonly offset: number;
}

export interface WindowPart {
	readonly transfer: number;
	readonly seq: number;
	readonly offset: number;
	/** Of the whole window. */
	readonly total: number;
	/** CRC-32 of the whole window: pieces of another one do not fit. */
	readonly crc: number;
	readonly bytes: Uint8Array;
}

/** Whether a payload is such a frame's. */
export const isWindowPayload = (payload: Uint8Array): boolean => payload[0] === WINDOW;

/** As many of the window's bytes from `offset` on as a frame holds; at least one. */
export function encodeWindowPart(
	{ transfer, seq, offset }: WindowPartWant,
	window: Uint8Array,
	bytesMax = LOG_FRAME_BYTES_MAX,
): Uint8Array {
	const crc = crc32(window);
	const payloadOf = (end: number) => {
		const writer = new ByteWriter();
		for (const value of [WINDOW, transfer, seq, offset, window.length, crc]) writer.varint(value);
		writer.append(window.subarray(offset, end));
		return writer.written();
	};
	let end = Math.min(window.length, offset + bytesMax);
	let payload = payloadOf(end);
	for (let over = rawLength(payload) - bytesMax; over > 0; over = rawLength(payload) - bytesMax) {
		// Some of what is over may be escapes, which go with their bytes.
		end -= Math.ceil(over / 2);
		payload = payloadOf(end);
	}
	return payload;
}

/** @throws BadBytes when it is not laid out so */
export function decodeWindowPart(payload: Uint8Array): WindowPart {
	const reader = new ByteReader(payload);
	if (reader.varint() !== WINDOW) throw new BadBytes("no part of a window");
	const [transfer, seq, offset, total, crc] = [
		reader.varint(),
		reader.varint(),
		reader.varint(),
		reader.varint(),
		reader.varint(),
	] as const;
	const bytes = reader.take(reader.left);
	if (bytes.length === 0 || offset + bytes.length > total || total > WINDOW_BYTES_MAX) {
		throw new BadBytes("a part beyond its window");
	}
	return { transfer, seq, offset, total, crc, bytes };
}
