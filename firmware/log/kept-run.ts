// A run that can be decided again, as bytes: what `lees bench --keep` writes and what a window of a
// rig's run is. Begins with `LEESRUN` and the format's version in one byte; then sections:
//
//   tag, bytes of the body and its CRC-32 (4 bytes each, low one first), the body, raw deflate
//   1 head      JSON: who recorded it, and with which rig and pin map; then for each stretch
//   2 begin     JSON: how it begins, by a boot or in a state, and the names of its channels
//   3 ticks     a minute of tick inputs and output levels (tape-bytes.ts), as often as needed
//   4 records   what was written in it: texts, one a line; none where an archive has them
//   5 end       JSON: how many stretches there are

import { crc32, deflateRawSync, inflateRawSync } from "node:zlib";
import * as z from "zod";
import { Tape } from "./tape.ts";
import { packTicks, TICKS_PACKED, unpackTicks } from "./tape-bytes.ts";
import { BadBytes } from "./varint.ts";

export const RUN_VERSION = 1;
const MAGIC = Buffer.from("LEESRUN");
const TAG = { head: 1, begin: 2, ticks: 3, records: 4, end: 5 } as const;
const SECTION_HEAD = 9;
/** Bytes of a section inflated; of the records, some twenty weeks of pumping. */
const BODY_MAX = 1 << 30;

/** The program that decided: its version, and a hash over what of it decides. */
export const logicSchema = z.strictObject({ version: z.string(), hash: z.string() });
export type Logic = Readonly<z.infer<typeof logicSchema>>;

/** By whom and with what a run was decided. Rig and pin map as their files, read. */
export const originSchema = z.strictObject({
	logic: logicSchema,
	rig: z.record(z.string(), z.unknown()),
	pins: z.record(z.string(), z.unknown()),
});
export type Origin = Readonly<z.infer<typeof originSchema>>;

const sourceSchema = z.discriminatedUnion("type", [
	z.strictObject({
		type: z.literal("bench"),
		scenario: z.string(),
		board: z.string(),
		seed: z.int(),
	}),
	/** The tick inputs that record `seq` has pinned, of that store. */
	z.strictObject({
		type: z.literal("window"),
		storeId: z.string(),
		seq: z.int(),
		boot: z.int(),
	}),
]);

/** `origin` is null where the store does not know it: it was written by an older program. */
const headSchema = z.strictObject({ source: sourceSchema, origin: z.nullable(originSchema) });
export type RunHead = Readonly<z.infer<typeof headSchema>>;

const beginSchema = z.strictObject({
	channels: z.array(z.string()),
	begin: z.discriminatedUnion("type", [
		/** The controller came up: all that it knew is in the records before. */
		z.strictObject({ type: z.literal("boot"), nowMs: z.int() }),
		z.strictObject({ type: z.literal("state"), state: z.unknown() }),
	]),
});
export type Begin = Readonly<z.infer<typeof beginSchema>["begin"]>;

const endSchema = z.strictObject({ stretches: z.int() });

/** Ticks in a row, and what was written in them. */
export interface Stretch {
	readonly begin: Begin;
	readonly tape: Tape;
	/** Texts; null where they are kept elsewhere. */
	readonly texts: readonly string[] | null;
}

export interface KeptRun {
	readonly head: RunHead;
	readonly stretches: readonly Stretch[];
}

/** Writes one piece after the other, so that a long run may be written in between other work. */
export class RunWriter {
	private readonly pieces: Uint8Array[] = [];
	private stretches = 0;

	constructor(head: RunHead) {
		this.pieces.push(MAGIC, Uint8Array.of(RUN_VERSION));
		this.json(TAG.head, head);
	}

	begin(begin: Begin, channels: readonly string[]): void {
		this.stretches += 1;
		this.json(TAG.begin, { channels, begin });
	}

	/** Ticks of the stretch that was begun last. */
	ticks(tape: Tape): void {
		for (let from = 0; from < tape.length; from += TICKS_PACKED) {
			const to = Math.min(tape.length, from + TICKS_PACKED);
			this.section(TAG.ticks, packTicks(tape, from, to));
		}
	}

	records(texts: readonly string[]): void {
		this.section(TAG.records, Buffer.from(texts.join("\n")));
	}

	end(): Uint8Array {
		this.json(TAG.end, { stretches: this.stretches });
		return Buffer.concat(this.pieces);
	}

	private json(tag: number, value: unknown): void {
		this.section(tag, Buffer.from(JSON.stringify(value)));
	}

	private section(tag: number, body: Uint8Array): void {
		const deflated = deflateRawSync(body, { level: 9 });
		const head = Buffer.alloc(SECTION_HEAD);
		head.writeUInt8(tag, 0);
		head.writeUInt32LE(deflated.length, 1);
		head.writeUInt32LE(crc32(deflated), 5);
		this.pieces.push(head, deflated);
	}
}

export function encodeRun({ head, stretches }: KeptRun): Uint8Array {
	const writer = new RunWriter(head);
	for (const { begin, tape, texts } of stretches) {
		writer.begin(begin, tape.channels);
		writer.ticks(tape);
		if (texts !== null) writer.records(texts);
	}
	return writer.end();
}

/** @throws BadBytes that says at which byte it is no kept run, or of which newer version */
export function decodeRun(bytes: Uint8Array): KeptRun {
	const file = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
	if (!file.subarray(0, MAGIC.length).equals(MAGIC)) throw new BadBytes("no kept run at byte 0");
	const version = file[MAGIC.length];
	if (version !== RUN_VERSION) {
		throw new BadBytes(`a kept run of version ${version}; this program knows ${RUN_VERSION}`);
	}
	let head: RunHead | null = null;
	const stretches: Array<{ begin: Begin; tape: Tape; texts: string[] | null }> = [];
	for (let at = MAGIC.length + 1; ; ) {
		const { tag, body, next } = sectionAt(file, at);
		try {
			const last = stretches.at(-1);
			if (tag === TAG.head && head === null) head = checked(headSchema, body);
			else if (tag === TAG.begin && head !== null) {
				const { begin, channels } = checked(beginSchema, body);
				stretches.push({ begin, tape: new Tape(channels), texts: null });
			} else if (tag === TAG.ticks && last !== undefined) unpackTicks(body, last.tape);
			else if (tag === TAG.records && last !== undefined) last.texts = linesIn(body);
			else if (tag === TAG.end && head !== null) {
				const end = checked(endSchema, body);
				if (end.stretches !== stretches.length || next < file.length) {
					throw new BadBytes("an end that does not belong there");
				}
				return { head, stretches };
			} else throw new BadBytes("a section that does not belong there");
		} catch (error) {
			if (!(error instanceof BadBytes)) throw error;
			throw new BadBytes(`${error.message}, at byte ${at}`);
		}
		at = next;
	}
}

function sectionAt(file: Buffer, at: number) {
	const from = at + SECTION_HEAD;
	if (from > file.length) throw new BadBytes(`a file that ends early, at byte ${file.length}`);
	const next = from + file.readUInt32LE(at + 1);
	if (next > file.length) throw new BadBytes(`a file that ends early, at byte ${file.length}`);
	const deflated = file.subarray(from, next);
	if (crc32(deflated) !== file.readUInt32LE(at + 5)) {
		throw new BadBytes(`a damaged section (wrong CRC), at byte ${at}`);
	}
	try {
		const body = inflateRawSync(deflated, { maxOutputLength: BODY_MAX });
		return { tag: file.readUInt8(at), body, next };
	} catch {
		throw new BadBytes(`bytes that do not inflate, at byte ${at}`);
	}
}

function checked<S extends z.ZodType>(schema: S, body: Buffer): z.infer<S> {
	let raw: unknown;
	try {
		raw = JSON.parse(body.toString("utf8"));
	} catch {
		throw new BadBytes("a section that is no JSON");
	}
	const found = schema.safeParse(raw);
	if (found.success) return found.data;
	const where = found.error.issues[0]?.path.join(".") ?? "";
	throw new BadBytes(`a section of another shape (${where})`);
}

const linesIn = (body: Buffer): string[] =>
	body.length === 0 ? [] : body.toString("utf8").split("\n");
