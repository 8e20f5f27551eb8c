// All inputs of all ticks of one run, and the outputs decided from them, in rows of integers: a
// night of 100 ms ticks is some 20 MB. Running the inputs again must give the same decisions.
// Inputs are whole numbers of 32 bits; times count from the first tick: no boot is too long.

import { type Outputs, outputNames, type Reading, type Readings } from "../board/port.ts";
import type { TickInputs } from "../controller.ts";

// A tick's row: these five, then for each channel its raw value and its age.
const NOW_MS = 0;
const DURABLE_SEQ = 1;
const LOG_AGE_MS = 2;
const FLAGS = 3;
const OUTPUTS = 4;
const READINGS = 5;

/** Room at first, in ticks: a batch of the ring. It doubles when it is full. */
const TICKS_AT_FIRST = 10;

/** Stands in a row for a channel that had never reported. */
const ABSENT = -2_147_483_648;
const WHOLE_MAX = 2_147_483_647;
/** In place of output levels: the tick never came to its end. */
export const HUNG = -1;

const NO_COMMANDS: TickInputs["commands"] = [];

export interface TapeJson {
	readonly channels: readonly string[];
	readonly nowMs: readonly number[];
	readonly raw: ReadonlyArray<readonly number[]>;
	readonly age: ReadonlyArray<readonly number[]>;
	readonly durableSeq: readonly number[];
	readonly logAgeMs: readonly number[];
	readonly flags: readonly number[];
	readonly outputs: readonly number[];
	readonly commands: ReadonlyArray<readonly [number, TickInputs["commands"]]>;
}

export class Tape {
	readonly channels: readonly string[];
	/** Integers a row. */
	readonly width: number;
	private rows: Int32Array;
	private ticks = 0;
	/** Time of the first tick. */
	private originMs = 0;
	private readonly commands = new Map<number, TickInputs["commands"]>();

	constructor(channels: readonly string[]) {
		this.channels = channels;
		this.width = READINGS + 2 * channels.length;
		this.rows = new Int32Array(this.width * TICKS_AT_FIRST);
	}

	get length(): number {
		return this.ticks;
	}

	/** @param outputs null when the tick never came to its end */
	push(inputs: TickInputs, outputs: Outputs | null): void {
		const { readings, commands, commissioned, log } = inputs;
		if (commands.length > 0) this.commands.set(this.ticks, commands);
		const row = this.addRow(inputs.nowMs);
		const { rows } = this;
		rows[row + DURABLE_SEQ] = log.durableSeq;
		rows[row + LOG_AGE_MS] = log.ageMs;
		rows[row + FLAGS] = (commissioned ? 1 : 0) + (log.failed ? 4 : 0);
		rows[row + OUTPUTS] = outputs === null ? HUNG : levels(outputs);
		let at = row + READINGS;
		for (const name of this.channels) {
			const reading = readings[name];
			rows[at] = reading === undefined ? ABSENT : reading.raw;
			rows[at + 1] = reading === undefined ? 0 : reading.ageMs;
			at += 2;
		}
	}

	inputsAt(tick: number): TickInputs {
		const readings: Record<string, Reading> = {};
		this.channels.forEach((name, i) => {
			const raw = this.at(tick, READINGS + 2 * i);
			if (raw !== ABSENT) readings[name] = { raw, ageMs: this.at(tick, READINGS + 2 * i + 1) };
		});
		const flags = this.at(tick, FLAGS);
		return {
			nowMs: this.nowMsAt(tick),
			readings,
			commands: this.commandsAt(tick),
			commissioned: (flags & 1) !== 0,
			log: {
				durableSeq: this.at(tick, DURABLE_SEQ),
				ageMs: this.at(tick, LOG_AGE_MS),
				failed: (flags & 4) !== 0,
			},
		};
	}

	nowMsAt(tick: number): number {
		return this.fieldAt(tick, NOW_MS);
	}

	/** Plain JSON in columns, for a store; `fromJson` reads it back. */
	toJson(): TapeJson {
		const column = (field: number) =>
			Array.from({ length: this.ticks }, (_, tick) => this.fieldAt(tick, field));
		return {
			channels: this.channels,
			nowMs: column(NOW_MS),
			raw: this.channels.map((_, i) => column(READINGS + 2 * i)),
			age: this.channels.map((_, i) => column(READINGS + 2 * i + 1)),
			durableSeq: column(DURABLE_SEQ),
			logAgeMs: column(LOG_AGE_MS),
			flags: column(FLAGS),
			outputs: column(OUTPUTS),
			commands: [...this.commands],
		};
	}

	static fromJson(json: TapeJson): Tape {
		const { channels, nowMs, raw, age, durableSeq, logAgeMs, flags, outputs } = json;
		const tape = new Tape(channels);
		// The columns in the order of a row's fields.
		const readings = channels.flatMap((_, i) => [raw[i], age[i]]);
		const columns = [nowMs, durableSeq, logAgeMs, flags, outputs, ...readings];
		for (let tick = 0; tick < nowMs.length; tick += 1) {
			tape.append(columns.map((column) => column?.[tick] ?? 0));
		}
		for (const [tick, commands] of json.commands) tape.setCommands(tick, commands);
		return tape;
	}

	/** A field of a tick's row as a whole number. The first is the tick's time. */
	fieldAt(tick: number, field: number): number {
		return field === NOW_MS ? this.originMs + this.at(tick, field) : this.at(tick, field);
	}

	/** Adds a row of such fields. */
	append(fields: ArrayLike<number>): void {
		const row = this.addRow(fields[NOW_MS] ?? 0);
		for (let i = 1; i < this.width; i += 1) this.rows[row + i] = fields[i] ?? 0;
	}

	commandsAt(tick: number): TickInputs["commands"] {
		return this.commands.get(tick) ?? NO_COMMANDS;
	}

	setCommands(tick: number, commands: TickInputs["commands"]): void {
		if (commands.length > 0) this.commands.set(tick, commands);
	}

	/** Those of another tape of the same channels follow on. */
	join(other: Tape): void {
		const fields = new Array<number>(this.width);
		for (let tick = 0; tick < other.length; tick += 1) {
			for (let i = 0; i < this.width; i += 1) fields[i] = other.fieldAt(tick, i);
			this.setCommands(this.ticks, other.commandsAt(tick));
			this.append(fields);
		}
	}

	/** The output levels decided at that tick, as a bit set; HUNG when it never came to its end. */
	levelsAt(tick: number): number {
		return this.at(tick, OUTPUTS);
	}

	private at(tick: number, field: number): number {
		return this.rows[tick * this.width + field] ?? 0;
	}

	/** @returns where the new row begins */
	private addRow(nowMs: number): number {
		if (this.ticks === 0) this.originMs = nowMs;
		const row = this.ticks * this.width;
		if (row === this.rows.length) {
			const larger = new Int32Array(row * 2);
			larger.set(this.rows);
			this.rows = larger;
		}
		this.rows[row + NOW_MS] = nowMs - this.originMs;
		this.ticks += 1;
		return row;
	}
}

/** Readings as a tape keeps them: what a tick decides by must come back from it to the last bit. */
export function wholeReadings(readings: Readings): Readings {
	const kept: Record<string, Reading> = {};
	for (const [name, { raw, ageMs }] of Object.entries(readings)) {
		kept[name] = { raw: whole32(raw), ageMs: whole32(ageMs) };
	}
	return kept;
}

/** The nearest whole number of 32 bits; what is no number is one that no input can have. */
const whole32 = (value: number): number =>
	Number.isNaN(value) ? -WHOLE_MAX : Math.max(-WHOLE_MAX, Math.min(WHOLE_MAX, Math.round(value)));

/** Output levels as bits, in the order of their names. */
export function levels(outputs: Outputs): number {
	let bits = 0;
	for (let i = 0; i < outputNames.length; i += 1) {
		const name = outputNames[i];
		if (name !== undefined && outputs[name]) bits += 1 << i;
	}
	return bits;
}
