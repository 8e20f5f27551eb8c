// Log frames: many records in one payload, or a part of a record too large for any frame. Layout in
// PROTOCOL.md. Encoded in the store's thread, decoded by whoever reads a log; imports zlib.

import { crc32, deflateRawSync, inflateRawSync } from "node:zlib";
import type { StoredRecord } from "../log/chain.ts";
import { runFrom, SampleRun } from "../log/sample-columns.ts";
import { BadBytes, ByteReader, ByteWriter } from "../log/varint.ts";

/** Raw bytes of a log frame, its two ENDs and all escapes counted. */
export const LOG_FRAME_BYTES_MAX = 512;
/** Records of a batch, and bytes of its body before they are deflated. */
export const BATCH_RECORDS_MAX = 4_096;
export const BODY_BYTES_MAX = 65_536;
/** Bytes of a record's text. */
export const TEXT_BYTES_MAX = 1_048_576;

const BATCH = 1;
const PART = 2;
const TEXT = 0;
const SAMPLES = 1;
const CHAIN_BYTES = 16;
/** Compressions that the search for a frame's fill may cost. */
const TRIES_MAX = 6;
/** A frame that is filled so far is not tried again for the rest. */
const FULL_ENOUGH = 0.985;

/** Records one after the other: either one as its text, or samples. */
export type BatchItem =
	| { readonly type: "text"; readonly seq: number; readonly text: string }
	| { readonly type: "samples"; readonly run: SampleRun };

export interface Batch {
	readonly type: "batch";
	readonly transfer: number;
	/** The first record; of a digest at the front, the first that it stands for. */
	readonly fromSeq: number;
	readonly toSeq: number;
	/** Chain value after the last. */
	readonly chain: string;
	readonly items: readonly BatchItem[];
}

/** Bytes of one record's deflated text. */
export interface RecordPart {
	readonly type: "part";
	readonly transfer: number;
	readonly seq: number;
	readonly offset: number;
	/** Of the whole deflated text. */
	readonly total: number;
	/** Chain value after the record. */
	readonly chain: string;
	readonly bytes: Uint8Array;
}

/** A payload, and where the one after it goes on. */
export interface EncodedBatch {
	readonly payload: Uint8Array;
	readonly fromSeq: number;
	readonly toSeq: number;
	readonly nextSeq: number;
	/** Within the deflated text of record `nextSeq`; 0 at its begin. */
	readonly nextOffset: number;
}

/** Whether a payload is a log frame's; else it is JSON. */
export function isLogPayload(payload: Uint8Array): boolean {
	return payload[0] === BATCH || payload[0] === PART;
}

/** Bytes on the line: both ENDs, the CRC, and one more for each byte that has to be escaped. */
export function rawLength(payload: Uint8Array): number {
	const crc = crc32(payload);
	let raw = 2 + payload.length + 4;
	for (const byte of payload) if (isEscaped(byte)) raw += 1;
	for (let shift = 0; shift < 32; shift += 8) if (isEscaped((crc >>> shift) & 0xff)) raw += 1;
	return raw;
}

const isEscaped = (byte: number) => byte === 0xc0 || byte === 0xdb;

/**
 * As many of these records as one frame holds; of a record that fits none, the bytes from `offset`.
 * @param records at least one, one after the other
 * @param guess how many are tried at first
 */
export function encodeBatch(
	transfer: number,
	records: readonly StoredRecord[],
	offset: number,
	guess: number,
	bytesMax = LOG_FRAME_BYTES_MAX,
): EncodedBatch {
	const [first] = records;
	if (first === undefined) throw new Error("a batch of nothing");
	if (offset > 0) return encodePart(transfer, first, offset, bytesMax);
	const segments = segmentsOf(records);
	let best: { payload: Uint8Array; last: StoredRecord } | null = null;
	let fits = 0;
	let tooMany = Math.min(records.length, BATCH_RECORDS_MAX) + 1;
	let count = Math.min(Math.max(1, guess), tooMany - 1);
	for (let n = 0; fits + 1 < tooMany && (n < TRIES_MAX || fits === 0); n += 1) {
		const last = records[count - 1] as StoredRecord;
		const body = bodyOf(segments, count);
		const payload = body.length > BODY_BYTES_MAX ? null : payloadOf(transfer, first, last, body);
		const raw = payload === null ? 4 * bytesMax : rawLength(payload);
		if (payload !== null && raw <= bytesMax) {
			best = { payload, last };
			fits = count;
			if (raw >= FULL_ENOUGH * bytesMax) break;
		} else tooMany = count;
		const aim = Math.floor((count * bytesMax * 0.995) / raw);
		count = Math.min(Math.max(aim, fits + 1), tooMany - 1);
	}
	if (best === null) return encodePart(transfer, first, 0, bytesMax);
	const { payload, last } = best;
	const [fromSeq, toSeq] = [firstSeqOf(first), last.seq];
	return { payload, fromSeq, toSeq, nextSeq: toSeq + 1, nextOffset: 0 };
}

function payloadOf(transfer: number, first: StoredRecord, last: StoredRecord, body: Uint8Array) {
	const writer = new ByteWriter();
	writer.varint(BATCH);
	writer.varint(transfer);
	writer.varint(firstSeqOf(first));
	writer.varint(last.seq);
	writer.append(Buffer.from(last.chain, "hex"));
	writer.append(deflateRawSync(body, { level: 9 }));
	return writer.written();
}

function encodePart(transfer: number, record: StoredRecord, offset: number, bytesMax: number) {
	const whole = deflateRawSync(record.json, { level: 9 });
	const payloadWith = (bytes: Uint8Array) => {
		const writer = new ByteWriter();
		writer.varint(PART);
		writer.varint(transfer);
		writer.varint(record.seq);
		writer.varint(offset);
		writer.varint(whole.length);
		writer.append(Buffer.from(record.chain, "hex"));
		writer.append(bytes);
		return writer.written();
	};
	let end = Math.min(whole.length, offset + bytesMax);
	let payload = payloadWith(whole.subarray(offset, end));
	for (let over = rawLength(payload) - bytesMax; over > 0; over = rawLength(payload) - bytesMax) {
		// Some of what is over may be escapes, which go with their bytes.
		end -= Math.ceil(over / 2);
		payload = payloadWith(whole.subarray(offset, end));
	}
	const { seq } = record;
	const isWhole = end === whole.length;
	const next = { nextSeq: isWhole ? seq + 1 : seq, nextOffset: isWhole ? 0 : end };
	return { payload, fromSeq: firstSeqOf(record), toSeq: seq, ...next };
}

type Segment = { readonly item: Uint8Array } | { readonly run: SampleRun };

function segmentsOf(records: readonly StoredRecord[]): Segment[] {
	const segments: Segment[] = [];
	let run: SampleRun | null = null;
	for (const { json } of records) {
		if (run?.add(json)) continue;
		run = runFrom(json);
		if (run?.add(json)) segments.push({ run });
		else {
			run = null;
			segments.push({ item: itemOf(TEXT, Buffer.from(json)) });
		}
	}
	return segments;
}

function itemOf(tag: number, bytes: Uint8Array): Uint8Array {
	const writer = new ByteWriter();
	writer.varint(tag);
	writer.varint(bytes.length);
	writer.append(bytes);
	return writer.written();
}

/** The first `count` records as a body. */
function bodyOf(segments: readonly Segment[], count: number): Uint8Array {
	const body = new ByteWriter();
	let left = count;
	for (const segment of segments) {
		if (left === 0) break;
		if ("item" in segment) {
			body.append(segment.item);
			left -= 1;
		} else {
			const taken = Math.min(left, segment.run.length);
			body.append(itemOf(SAMPLES, segment.run.pack(taken)));
			left -= taken;
		}
	}
	return body.written();
}

const DIGEST = /^\{"seq":\d+,"boot":\d+,"monoMs":\d+,"v":\d+,"kind":"digest","fromSeq":(\d+),/;

/** Of a digest the first sample that it stands for; else the record itself. */
export function firstSeqOf({ seq, json }: Pick<StoredRecord, "seq" | "json">): number {
	const digest = DIGEST.exec(json);
	return digest === null ? seq : Number(digest[1]);
}

/**
 * What a log frame's payload says. Whether the chain holds is for the reader to see.
 * @throws BadBytes when it is not laid out as a log frame
 */
export function decodeLogPayload(payload: Uint8Array): Batch | RecordPart {
	const reader = new ByteReader(payload);
	const tag = reader.varint();
	if (tag === BATCH) return decodeBatch(reader);
	if (tag === PART) return decodePart(reader);
	throw new BadBytes("a payload of a kind that is not known");
}

function decodeBatch(reader: ByteReader): Batch {
	const transfer = reader.varint();
	const fromSeq = reader.varint();
	const toSeq = reader.varint();
	const chain = hex(reader.take(CHAIN_BYTES));
	const body = new ByteReader(inflated(reader.take(reader.left), BODY_BYTES_MAX));
	const items: BatchItem[] = [];
	let nextSeq = fromSeq;
	while (body.left > 0) {
		const tag = body.varint();
		const bytes = body.take(body.varint());
		if (tag === TEXT) {
			const text = Buffer.from(bytes).toString("utf8");
			const seq = seqOf(text);
			if (firstSeqOf({ seq, json: text }) !== nextSeq) throw new BadBytes("records out of order");
			items.push({ type: "text", seq, text });
			nextSeq = seq + 1;
		} else if (tag === SAMPLES) {
			const run = SampleRun.unpack(bytes, nextSeq);
			items.push({ type: "samples", run });
			nextSeq += run.length;
		} else throw new BadBytes("an item of a kind that is not known");
	}
	if (nextSeq !== toSeq + 1 || items.length === 0) throw new BadBytes("not the records it names");
	return { type: "batch", transfer, fromSeq, toSeq, chain, items };
}

function decodePart(reader: ByteReader): RecordPart {
	const [transfer, seq, offset, total] = [
		reader.varint(),
		reader.varint(),
		reader.varint(),
		reader.varint(),
	] as const;
	const chain = hex(reader.take(CHAIN_BYTES));
	const bytes = reader.take(reader.left);
	if (bytes.length === 0 || offset + bytes.length > total || total > TEXT_BYTES_MAX) {
		throw new BadBytes("a part beyond its record");
	}
	return { type: "part", transfer, seq, offset, total, chain, bytes };
}

/**
 * The record of all its parts, put together in order of their offsets.
 * @throws BadBytes when they do not make the text of that record
 */
export function textOfParts(seq: number, deflated: Uint8Array): string {
	const text = Buffer.from(inflated(deflated, TEXT_BYTES_MAX)).toString("utf8");
	if (seqOf(text) !== seq) throw new BadBytes("another record than it names");
	return text;
}

function seqOf(text: string): number {
	const seq = /^\{"seq":(\d{1,15}),/.exec(text)?.[1];
	if (seq === undefined) throw new BadBytes("a text that is no record");
	return Number(seq);
}

function inflated(bytes: Uint8Array, bytesMax: number): Uint8Array {
	try {
		return inflateRawSync(bytes, { maxOutputLength: bytesMax });
	} catch {
		throw new BadBytes("bytes that do not inflate");
	}
}

const hex = (bytes: Uint8Array): string => Buffer.from(bytes).toString("hex");
