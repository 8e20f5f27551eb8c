// Ticks of a tape as bytes, in columns of small whole numbers, for a file or a line; whoever stores
// them compresses them. Pure: no Node.
//
//   varint   ticks
//   column   of each field of a row: time, durable record, age of the log, flags, outputs, then
//            raw value and age of each channel
//   varint   bytes of the commands, JSON: [[tick, commands], …]

import type { TickInputs } from "../controller.ts";
import type { Tape } from "./tape.ts";
import { BadBytes, ByteReader, ByteWriter } from "./varint.ts";

/** Ticks that are packed together at most: a minute. */
export const TICKS_PACKED = 600;

/** A column holds differences from the first number (0), or from the one before (1). */
type Order = 0 | 1;

/** Ticks `from` up to, not with, `to`. */
export function packTicks(tape: Tape, from: number, to: number): Uint8Array {
	const writer = new ByteWriter();
	writer.varint(to - from);
	for (let field = 0; field < tape.width; field += 1) packColumn(writer, tape, field, from, to);
	const commands: Array<[number, TickInputs["commands"]]> = [];
	for (let tick = from; tick < to; tick += 1) {
		const given = tape.commandsAt(tick);
		if (given.length > 0) commands.push([tick - from, given]);
	}
	const text = new TextEncoder().encode(JSON.stringify(commands));
	writer.varint(text.length);
	writer.append(text);
	return writer.written();
}

function packColumn(writer: ByteWriter, tape: Tape, field: number, from: number, to: number) {
	const first = tape.fieldAt(from, field);
	let [far, near] = [0, 0];
	for (let tick = from + 1; tick < to; tick += 1) {
		const value = tape.fieldAt(tick, field);
		far += Math.abs(value - first);
		near += Math.abs(value - tape.fieldAt(tick - 1, field));
	}
	// Noise around a value is smaller than its steps; whatever grows is the other way round.
	const order: Order = far <= near ? 0 : 1;
	writer.varint(order);
	writer.signed(first);
	for (let tick = from + 1; tick < to; tick += 1) {
		const base = order === 0 ? first : tape.fieldAt(tick - 1, field);
		writer.signed(tape.fieldAt(tick, field) - base);
	}
}

/**
 * Adds them to a tape of the same channels.
 * @throws BadBytes when they are not laid out so
 */
export function unpackTicks(bytes: Uint8Array, tape: Tape): void {
	const reader = new ByteReader(bytes);
	const ticks = reader.varint();
	if (ticks === 0 || ticks > TICKS_PACKED) throw new BadBytes(`${ticks} ticks in one piece`);
	const columns = Array.from({ length: tape.width }, () => unpackColumn(reader, ticks));
	const text = new TextDecoder().decode(reader.take(reader.varint()));
	if (reader.left > 0) throw new BadBytes("bytes behind the ticks");
	const before = tape.length;
	for (let tick = 0; tick < ticks; tick += 1) {
		tape.append(columns.map((column) => column[tick] ?? 0));
	}
	for (const [tick, commands] of commandsIn(text)) tape.setCommands(before + tick, commands);
}

function unpackColumn(reader: ByteReader, ticks: number): Float64Array {
	const column = new Float64Array(ticks);
	const order = reader.varint();
	if (order > 1) throw new BadBytes("a column of a kind that is not known");
	const first = reader.signed();
	column[0] = first;
	for (let tick = 1; tick < ticks; tick += 1) {
		const base = order === 0 ? first : (column[tick - 1] ?? 0);
		column[tick] = base + reader.signed();
	}
	return column;
}

function commandsIn(text: string): Array<readonly [number, TickInputs["commands"]]> {
	try {
		const raw: unknown = JSON.parse(text);
		if (Array.isArray(raw) && raw.every((one) => Array.isArray(one) && Array.isArray(one[1]))) {
			return raw;
		}
	} catch {
		// Told below.
	}
	throw new BadBytes("commands that cannot be read");
}
