// Samples in columns of whole numbers, on the link and in the laptop's archive: some 8 bytes a
// sample, half that when deflated, where its text has 200. A sample is taken only when its text
// comes back letter by letter. Layout and decimal rule stand in firmware/link/PROTOCOL.md. Pure: no
// Node, no file.

import type { Unknown } from "../sense/quantity.ts";
import { BadBytes, ByteReader, ByteWriter } from "./varint.ts";

/** Steps in a unit: few digits beyond what a sensor tells, so that a row of them packs small. */
export const SAMPLE_SCALES = {
	flowLph: 10,
	vacuumKpa: 100,
	supplyVolts: 100,
	motorAmps: 100,
	fuelC: 10,
} as const;

/** Words that stand for a quantity, in the order of their codes, which begin with 1. */
export const UNKNOWN_WORDS = [
	"not-fitted",
	"stale",
	"open",
	"short",
	"out-of-range",
	"unlike",
	"jumps",
] as const satisfies readonly Unknown[];

const quantities = Object.entries(SAMPLE_SCALES);
/** Columns: monoMs, the five quantities, motorMs, pulses. */
export const MONO = 0;
export const QUANTITY = 1;
export const MOTOR = QUANTITY + quantities.length;
export const PULSES = MOTOR + 1;
const WIDTH = PULSES + 1;
/** No quantity in a column has as many steps; an unknown is this and its code. */
const STEPS_MAX = 1_000_000_000;
export const UNKNOWN_FROM = 2 * STEPS_MAX;
/** A counter beyond it travels as text: differences of such ones still fit a signed varint. */
const COUNT_MAX = 2 ** 50;

/** A row of samples of one boot, their numbers one after the other. */
export class SampleRun {
	readonly fromSeq: number;
	readonly boot: number;
	/** By the numbers above; a quantity in steps, or a word as `UNKNOWN_FROM` and its code. */
	readonly columns: readonly number[][] = Array.from({ length: WIDTH }, () => []);

	constructor(fromSeq: number, boot: number) {
		this.fromSeq = fromSeq;
		this.boot = boot;
	}

	get length(): number {
		return this.column(MONO).length;
	}

	/**
	 * Takes the sample with this text, if it is the next one of this run.
	 * @returns false when it is not, or would not come back as it is
	 */
	add(text: string): boolean {
		const seq = this.fromSeq + this.length;
		if (!text.startsWith(`{"seq":${seq},"boot":${this.boot},`)) return false;
		const row = rowOf(text);
		if (row === null) return false;
		row.forEach((value, i) => {
			this.column(i).push(value);
		});
		if (this.text(this.length - 1) === text) return true;
		for (const column of this.columns) column.pop();
		return false;
	}

	/** The text of its record `fromSeq + i`, as `textOf` makes it. */
	text(i: number): string {
		const { columns, boot, fromSeq } = this;
		return (
			`{"seq":${fromSeq + i},"boot":${boot},"monoMs":${columns[0]?.[i] ?? 0},` +
			`"v":2,"kind":"sample","flowLph":${tenths(columns[1]?.[i] ?? 0)},"vacuumKpa":` +
			`${hundredths(columns[2]?.[i] ?? 0)},"supplyVolts":${hundredths(columns[3]?.[i] ?? 0)}` +
			`,"motorAmps":${hundredths(columns[4]?.[i] ?? 0)},"fuelC":${tenths(columns[5]?.[i] ?? 0)}` +
			`,"run":{"motorMs":${columns[6]?.[i] ?? 0},"pulses":${columns[7]?.[i] ?? 0}}}`
		);
	}

	/** All texts, first to last. */
	texts(): string[] {
		return this.column(MONO).map((_, i) => this.text(i));
	}

	/** Its bytes, without `fromSeq`. @param count so many from the first on */
	pack(count = this.length): Uint8Array {
		const writer = new ByteWriter();
		writer.varint(count);
		writer.varint(this.boot);
		const monoMs = this.column(MONO).slice(0, count);
		packNumbers(writer, monoMs);
		for (let i = QUANTITY; i < MOTOR; i += 1) {
			const column = this.column(i).slice(0, count);
			packWords(writer, column);
			packNumbers(
				writer,
				column.filter((value) => value < UNKNOWN_FROM),
			);
		}
		// Motor time goes with the clock while the motor is on.
		const motorMs = this.column(MOTOR);
		packNumbers(
			writer,
			monoMs.map((at, i) => (motorMs[i] ?? 0) - at),
		);
		packNumbers(writer, this.column(PULSES).slice(0, count));
		return writer.written();
	}

	/** @throws BadBytes when `bytes` are no packed run */
	static unpack(bytes: Uint8Array, fromSeq: number): SampleRun {
		const reader = new ByteReader(bytes);
		const count = reader.varint();
		// Each sample has a byte at least: its time's.
		if (count === 0 || count > reader.left) throw new BadBytes("a run of a length that cannot be");
		const run = new SampleRun(fromSeq, reader.varint());
		const monoMs = run.column(MONO);
		unpackNumbers(reader, count, 0, COUNT_MAX, monoMs);
		for (let i = QUANTITY; i < MOTOR; i += 1) unpackQuantity(reader, count, run.column(i));
		const motorMs = run.column(MOTOR);
		unpackNumbers(reader, count, -COUNT_MAX, COUNT_MAX, motorMs);
		for (let i = 0; i < count; i += 1) {
			const value = (motorMs[i] ?? 0) + (monoMs[i] ?? 0);
			if (value < 0 || value > COUNT_MAX) throw new BadBytes("a count out of range");
			motorMs[i] = value;
		}
		unpackNumbers(reader, count, 0, COUNT_MAX, run.column(PULSES));
		if (reader.left > 0) throw new BadBytes("bytes after the last column");
		return run;
	}

	private column(i: number): number[] {
		return this.columns[i] as number[];
	}
}

/** The samples of these texts as bytes; null when one of them does not pack or does not follow. */
export function packSamples(texts: readonly string[]): Uint8Array | null {
	const run = runFrom(texts[0] ?? "");
	if (run === null) return null;
	for (const text of texts) if (!run.add(text)) return null;
	return run.pack();
}

/** The texts again. @throws BadBytes when `bytes` are no packed run */
export function unpackSamples(bytes: Uint8Array, fromSeq: number): string[] {
	return SampleRun.unpack(bytes, fromSeq).texts();
}

/** An empty run for the record with this text; null when that is no sample of today's version. */
export function runFrom(text: string): SampleRun | null {
	const head = /^\{"seq":(\d{1,15}),"boot":(\d{1,15}),"monoMs":\d+,"v":2,"kind":"sample",/.exec(
		text,
	);
	return head === null ? null : new SampleRun(Number(head[1]), Number(head[2]));
}

/** The columns' values of a sample; null when one of them has no place there. */
function rowOf(text: string): number[] | null {
	let raw: unknown;
	try {
		raw = JSON.parse(text);
	} catch {
		return null;
	}
	const sample = raw as Record<string, unknown>;
	const run = (sample.run ?? {}) as Record<string, unknown>;
	const row = [countOf(sample.monoMs)];
	for (const [name, scale] of quantities) row.push(stepsOf(sample[name], scale));
	row.push(countOf(run.motorMs), countOf(run.pulses));
	return row.includes(Number.NaN) ? null : row;
}

function countOf(value: unknown): number {
	const isCount = typeof value === "number" && Number.isInteger(value);
	return isCount && value >= 0 && value <= COUNT_MAX ? value : Number.NaN;
}

function stepsOf(value: unknown, scale: number): number {
	if (typeof value === "number") {
		const steps = Math.round(value * scale);
		return Math.abs(steps) <= STEPS_MAX ? steps : Number.NaN;
	}
	const word = UNKNOWN_WORDS.indexOf(value as Unknown);
	return word === -1 ? Number.NaN : UNKNOWN_FROM + word + 1;
}

/** Texts of numbers that come often: making one anew takes many times longer. */
const TEXTS_KEPT = 16_384;
const keptTenths: string[] = Array.from({ length: TEXTS_KEPT }, (_, i) => String(i / 10));
const keptHundredths: string[] = Array.from({ length: TEXTS_KEPT }, (_, i) => String(i / 100));
const quoted: readonly string[] = UNKNOWN_WORDS.map((word) => `"${word}"`);

const tenths = (steps: number): string => keptTenths[steps] ?? rareText(steps, 10);
const hundredths = (steps: number): string => keptHundredths[steps] ?? rareText(steps, 100);

/** Up to 15 digits, a double prints as the decimal that it was read from: steps over scale. */
function rareText(steps: number, scale: number): string {
	return quoted[steps - UNKNOWN_FROM - 1] ?? String(steps / scale);
}

/**
 * A row of numbers as what is left of each after a guess: the one before, or none, and a base. The
 * guess is whichever leaves less.
 */
function packNumbers(writer: ByteWriter, values: readonly number[]): void {
	if (values.length === 0) return;
	const plain = middle(values.length, (i) => values[i] ?? 0);
	const step = middle(values.length - 1, (i) => (values[i + 1] ?? 0) - (values[i] ?? 0));
	let plainBits = 0;
	let stepBits = 0;
	let before = 0;
	for (let i = 0; i < values.length; i += 1) {
		const value = values[i] ?? 0;
		plainBits += bitsOf(value - plain);
		stepBits += bitsOf(value - before - step);
		before = value;
	}
	const usesBefore = stepBits < plainBits;
	const base = usesBefore ? step : plain;
	writer.varint(usesBefore ? 1 : 0);
	writer.signed(base);
	before = 0;
	for (let i = 0; i < values.length; i += 1) {
		const value = values[i] ?? 0;
		writer.signed(value - (usesBefore ? before : 0) - base);
		before = value;
	}
}

const bitsOf = (value: number): number => 32 - Math.clz32(Math.min(Math.abs(value), 0x7fff_ffff));

/** The middle one of five: near the median, without a sort of all. 0 of none. */
function middle(count: number, at: (i: number) => number): number {
	if (count <= 0) return 0;
	const five = [0, 0.25, 0.5, 0.75, 1].map((share) => at(Math.floor(share * (count - 1))));
	return five.sort((a, b) => a - b)[2] ?? 0;
}

function unpackNumbers(
	reader: ByteReader,
	count: number,
	least: number,
	most: number,
	into: number[],
): void {
	const order = reader.varint();
	if (order > 1) throw new BadBytes("a column of an order that is not known");
	const base = reader.signed();
	let before = 0;
	for (let i = 0; i < count; i += 1) {
		const value = before + base + reader.signed();
		if (!(value >= least && value <= most)) throw new BadBytes("a value out of range");
		into.push(value);
		if (order === 1) before = value;
	}
}

/** 0: all are numbers; else how many stretches, and of each its word (0: numbers) and length. */
function packWords(writer: ByteWriter, column: readonly number[]): void {
	const stretches: Array<{ word: number; length: number }> = [];
	for (const value of column) {
		const word = value < UNKNOWN_FROM ? 0 : value - UNKNOWN_FROM;
		const last = stretches.at(-1);
		if (last?.word === word) last.length += 1;
		else stretches.push({ word, length: 1 });
	}
	if (stretches.length === 1 && stretches[0]?.word === 0) {
		writer.varint(0);
		return;
	}
	writer.varint(stretches.length);
	for (const { word, length } of stretches) {
		writer.varint(word);
		writer.varint(length);
	}
}

function unpackQuantity(reader: ByteReader, count: number, into: number[]): void {
	const stretches = reader.varint();
	if (stretches === 0) {
		unpackNumbers(reader, count, -STEPS_MAX, STEPS_MAX, into);
		return;
	}
	const words: Array<[word: number, length: number]> = [];
	let covered = 0;
	let known = 0;
	for (let n = 0; n < stretches; n += 1) {
		const word = reader.varint();
		const length = reader.varint();
		covered += length;
		if (word > UNKNOWN_WORDS.length || length === 0) {
			throw new BadBytes("a stretch of words that cannot be");
		}
		if (word === 0) known += length;
		words.push([word, length]);
	}
	if (covered !== count) throw new BadBytes("stretches that do not cover their run");
	const numbers: number[] = [];
	if (known > 0) unpackNumbers(reader, known, -STEPS_MAX, STEPS_MAX, numbers);
	let next = 0;
	for (const [word, length] of words) {
		for (let i = 0; i < length; i += 1) {
			if (word === 0) {
				into.push(numbers[next] ?? 0);
				next += 1;
			} else into.push(UNKNOWN_FROM + word);
		}
	}
}
