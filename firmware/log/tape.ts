// All inputs of all ticks of one run, and the outputs decided from them, in columns of integers:
// a night of 100 ms ticks is some 20 MB. Running the inputs again must give the same decisions.

import type { Outputs, Reading } from "../board/port.ts";
import type { TickInputs } from "../controller.ts";

/** A column that grows. */
class Column {
	private data = new Int32Array(1024);
	length = 0;

	push(value: number): void {
		if (this.length === this.data.length) {
			const larger = new Int32Array(this.data.length * 2);
			larger.set(this.data);
			this.data = larger;
		}
		this.data[this.length] = value;
		this.length += 1;
	}

	at(index: number): number {
		return this.data[index] ?? 0;
	}

	list(): number[] {
		return [...this.data.subarray(0, this.length)];
	}
}

/** Stands in a column for a channel that had never reported. */
const ABSENT = -2_147_483_648;

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
	private readonly channels: readonly string[];
	private readonly nowMs = new Column();
	private readonly raw: Column[];
	private readonly age: Column[];
	private readonly durableSeq = new Column();
	private readonly logAgeMs = new Column();
	private readonly flags = new Column();
	private readonly outputs = new Column();
	private readonly commands = new Map<number, TickInputs["commands"]>();

	constructor(channels: readonly string[]) {
		this.channels = channels;
		this.raw = channels.map(() => new Column());
		this.age = channels.map(() => new Column());
	}

	get length(): number {
		return this.nowMs.length;
	}

	push(inputs: TickInputs, outputs: Outputs): void {
		const { readings, commands, commissioned, armed, log } = inputs;
		if (commands.length > 0) this.commands.set(this.length, commands);
		this.nowMs.push(inputs.nowMs);
		this.channels.forEach((name, i) => {
			const reading = readings[name];
			this.raw[i]?.push(reading?.raw ?? ABSENT);
			this.age[i]?.push(reading?.ageMs ?? 0);
		});
		this.durableSeq.push(log.durableSeq);
		this.logAgeMs.push(log.ageMs);
		this.flags.push((commissioned ? 1 : 0) + (armed ? 2 : 0) + (log.failed ? 4 : 0));
		this.outputs.push(levels(outputs));
	}

	inputsAt(tick: number): TickInputs {
		const readings: Record<string, Reading> = {};
		this.channels.forEach((name, i) => {
			const raw = this.raw[i]?.at(tick) ?? ABSENT;
			if (raw !== ABSENT) readings[name] = { raw, ageMs: this.age[i]?.at(tick) ?? 0 };
		});
		const flags = this.flags.at(tick);
		return {
			nowMs: this.nowMs.at(tick),
			readings,
			commands: this.commands.get(tick) ?? [],
			commissioned: (flags & 1) !== 0,
			armed: (flags & 2) !== 0,
			log: {
				durableSeq: this.durableSeq.at(tick),
				ageMs: this.logAgeMs.at(tick),
				failed: (flags & 4) !== 0,
			},
		};
	}

	/** Plain JSON, for a store; `fromJson` reads it back. */
	toJson(): TapeJson {
		const lists = (columns: readonly Column[]) => columns.map((column) => column.list());
		return {
			channels: this.channels,
			nowMs: this.nowMs.list(),
			raw: lists(this.raw),
			age: lists(this.age),
			durableSeq: this.durableSeq.list(),
			logAgeMs: this.logAgeMs.list(),
			flags: this.flags.list(),
			outputs: this.outputs.list(),
			commands: [...this.commands],
		};
	}

	static fromJson(json: TapeJson): Tape {
		const tape = new Tape(json.channels);
		const fill = (column: Column | undefined, values: readonly number[] | undefined) => {
			for (const value of values ?? []) column?.push(value);
		};
		fill(tape.nowMs, json.nowMs);
		json.channels.forEach((_, i) => {
			fill(tape.raw[i], json.raw[i]);
			fill(tape.age[i], json.age[i]);
		});
		fill(tape.durableSeq, json.durableSeq);
		fill(tape.logAgeMs, json.logAgeMs);
		fill(tape.flags, json.flags);
		fill(tape.outputs, json.outputs);
		for (const [tick, commands] of json.commands) tape.commands.set(tick, commands);
		return tape;
	}

	/** The output levels decided at that tick, as a bit set. */
	levelsAt(tick: number): number {
		return this.outputs.at(tick);
	}
}

/** Output levels as bits, in one fixed order. */
export function levels(outputs: Outputs): number {
	return (
		(outputs["pump-demand"] ? 1 : 0) +
		(outputs["dead-man-beat"] ? 2 : 0) +
		(outputs["lamp-pump"] ? 4 : 0) +
		(outputs["lamp-trip"] ? 8 : 0) +
		(outputs.horn ? 16 : 0)
	);
}
