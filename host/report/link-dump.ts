// The byte dumps of firmware/link/PROTOCOL.md: a hello and its answer, and a log frame of three
// samples, each byte with what it is. Made from what the controller's own code sends, and walked
// along the layout as the page tells it.

import { crc32, inflateRawSync } from "node:zlib";
import { encodeBatch } from "../../firmware/link/batch.ts";
import { FrameWriter } from "../../firmware/link/framing.ts";
import { helloOf } from "../../firmware/link/session.ts";
import { encodeWindowPart } from "../../firmware/link/window-part.ts";
import { chained } from "../../firmware/log/chain.ts";
import { ByteReader } from "../../firmware/log/varint.ts";

/** The invented log of the dumps. */
const STORE_ID = "5d0f7a52-9c1e-4b7e-8a53-0f6f2f1c9be4";
const BYTES_A_LINE = 16;
const NOTE_COLUMN = 3 * BYTES_A_LINE + 1;

interface Piece {
	readonly bytes: Uint8Array;
	readonly note: string;
}

/** Three samples as their texts, the last without a reading of the fuel's temperature. */
export const SAMPLE_TEXTS: readonly string[] = [
	[90.7, 14.5, 12.61, 1.8, 15.2, 1_000, 10],
	[91.2, 14.48, 12.6, 1.82, 15.2, 2_000, 21],
	[90.9, 14.53, 12.6, 1.79, "stale", 3_000, 31],
].map(([flowLph, vacuumKpa, supplyVolts, motorAmps, fuelC, motorMs, pulses], i) =>
	JSON.stringify({
		seq: 41 + i,
		boot: 2,
		monoMs: 60_000 + 1_000 * i + (i === 2 ? 1 : 0),
		v: 2,
		kind: "sample",
		flowLph,
		vacuumKpa,
		supplyVolts,
		motorAmps,
		fuelC,
		run: { motorMs, pulses },
	}),
);

/** What came before them: any value would do. */
export const CHAIN_BEFORE = chained(STORE_ID, "invented");

/** What the client sends and what the controller answers. */
export function helloDump(): string {
	const ask = { jsonrpc: "2.0", id: 1, method: "hello", params: {} };
	const result = helloOf({ storeId: STORE_ID, boot: 2, rig: "Teal Willow portable rig" });
	const answer = { jsonrpc: "2.0", id: 1, result };
	return fenced(["the client asks:", ...jsonLines(ask), "", "the answer:", ...jsonLines(answer)]);
}

function jsonLines(message: object): string[] {
	const payload = Buffer.from(JSON.stringify(message));
	return frameLines(payload, [{ bytes: payload, note: "JSON" }], true);
}

/** The frame, its body inflated, the texts and the chain. */
export function batchDump(): string {
	let chain = CHAIN_BEFORE;
	const records = SAMPLE_TEXTS.map((json, i) => {
		chain = chained(chain, json);
		return { seq: 41 + i, json, chain };
	});
	const { payload } = encodeBatch(7, records, 0, records.length);
	const reader = new Pieces(payload);
	reader.varint("kind: a batch");
	reader.varint("transfer");
	reader.varint("first record");
	reader.varint("last record");
	reader.take(16, `chain after record ${records.at(-1)?.seq}`);
	const rest = reader.rest("the body, raw deflate");
	const texts = records.flatMap(({ json, chain: after }) => [json, `  chain after it: ${after}`]);
	return fenced([
		"the frame:",
		...frameLines(Buffer.from(payload), reader.pieces, false),
		"",
		"its body, inflated:",
		...bodyPieces(inflateRawSync(rest)).flatMap((piece) => pieceLines(piece)),
		"",
		`the records; chain before them: ${CHAIN_BEFORE}`,
		...texts,
	]);
}

/** The first frame of a window of which a piece alone is shown. */
export function windowDump(): string {
	const window = Buffer.concat([Buffer.from("LEESRUN"), Uint8Array.of(1, 1, 0xc0, 0xdb)]);
	const payload = encodeWindowPart({ transfer: 9, seq: 1_204, offset: 0 }, window);
	const reader = new Pieces(payload);
	reader.varint("kind: a part of a window");
	reader.varint("transfer");
	reader.varint("the record that has pinned it");
	reader.varint("offset of these bytes");
	reader.varint("bytes of the window");
	reader.varint("CRC-32 of the window");
	reader.rest("bytes of the window");
	return fenced(frameLines(Buffer.from(payload), reader.pieces, false));
}

function bodyPieces(body: Uint8Array): Piece[] {
	const reader = new Pieces(body);
	reader.varint("item: samples");
	reader.varint("bytes of the item");
	const count = reader.varint("samples");
	reader.varint("boot");
	reader.numbers("monoMs", count);
	for (const name of ["flowLph × 10", "vacuumKpa × 100", "supplyVolts × 100", "motorAmps × 100"]) {
		reader.varint(`${name}: no words`);
		reader.numbers(name, count);
	}
	const stretches = reader.varint("fuelC × 10: stretches");
	let known = 0;
	for (let n = 0; n < stretches; n += 1) {
		const word = reader.varint("  word: 0 is numbers, 2 is stale");
		const length = reader.varint("  so many of them");
		if (word === 0) known += length;
	}
	reader.numbers("fuelC × 10", known);
	reader.numbers("motorMs - monoMs", count);
	reader.numbers("pulses", count);
	return reader.pieces;
}

/** Takes bytes apart and keeps a note for each. */
class Pieces {
	readonly pieces: Piece[] = [];
	private readonly bytes: Uint8Array;
	private at = 0;

	constructor(bytes: Uint8Array) {
		this.bytes = bytes;
	}

	varint(note: string): number {
		const reader = new ByteReader(this.bytes, this.at);
		const value = reader.varint();
		this.take(reader.read - this.at, `${note}: ${value}`);
		return value;
	}

	numbers(name: string, count: number): void {
		const order = this.varint(`${name}: order`);
		const base = this.signed("  base");
		let before = 0;
		for (let i = 0; i < count; i += 1) {
			const reader = new ByteReader(this.bytes, this.at);
			const rest = reader.signed();
			before = (order === 1 ? before : 0) + base + rest;
			this.take(reader.read - this.at, `  ${rest}, so ${before}`);
		}
	}

	take(count: number, note: string): void {
		this.pieces.push({ bytes: this.bytes.subarray(this.at, this.at + count), note });
		this.at += count;
	}

	rest(note: string): Uint8Array {
		const from = this.at;
		this.take(this.bytes.length - from, note);
		return this.bytes.subarray(from);
	}

	private signed(note: string): number {
		const reader = new ByteReader(this.bytes, this.at);
		const value = reader.signed();
		this.take(reader.read - this.at, `${note}: ${value}`);
		return value;
	}
}

/** The frame around these pieces, as it goes over the line. @throws Error when it is another */
function frameLines(payload: Buffer, pieces: readonly Piece[], showsText: boolean): string[] {
	const crc = Buffer.alloc(4);
	crc.writeUInt32LE(crc32(payload));
	const end = { bytes: Uint8Array.of(0xc0), note: "END" };
	const inner = [...pieces, { bytes: crc, note: "CRC-32 of the payload, low byte first" }];
	const all = [end, ...inner.map(escaped), end];
	let sent = Buffer.alloc(0);
	new FrameWriter((bytes) => {
		sent = Buffer.from(bytes);
	}).send(payload);
	if (!Buffer.concat(all.map(({ bytes }) => bytes)).equals(sent)) {
		throw new Error("the pieces are not what is sent");
	}
	return all.flatMap((piece) => pieceLines(piece, showsText && piece.note === "JSON"));
}

function escaped({ bytes, note }: Piece): Piece {
	const raw = [...bytes].flatMap((byte) =>
		byte === 0xc0 ? [0xdb, 0xdc] : byte === 0xdb ? [0xdb, 0xdd] : [byte],
	);
	const words = raw.length > bytes.length ? `${note} (escaped)` : note;
	return { bytes: Uint8Array.from(raw), note: words };
}

function pieceLines({ bytes, note }: Piece, showsText = false): string[] {
	const lines: string[] = [];
	for (let at = 0; at < bytes.length; at += BYTES_A_LINE) {
		const part = Buffer.from(bytes.subarray(at, at + BYTES_A_LINE));
		const hex = [...part].map((byte) => byte.toString(16).padStart(2, "0")).join(" ");
		const words = showsText ? part.toString("latin1") : at === 0 ? note : "";
		lines.push(`${hex.padEnd(NOTE_COLUMN)}${words}`.trimEnd());
	}
	return lines;
}

const fenced = (lines: readonly string[]) => ["```", ...lines, "```"].join("\n");
