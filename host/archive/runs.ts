// Runs from the records of one store: what was ordered, how it ended, what was moved, and with
// which meter and pump. Pure; what it comes to in litres is totals.ts's business.

import type { Order } from "../../firmware/cycle/orders.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import type { Tally } from "../../firmware/totals.ts";

type Of<K extends LogRecord["kind"]> = Extract<LogRecord, { kind: K }>;
export type Boot = Of<"boot">;

/** What was moved while one boot's meter and pump counted. */
export interface Part {
	readonly tally: Tally;
	/** Times that the pump was started: each adds to what is not known of the hours. */
	readonly starts: number;
	/** Null where no boot record says. */
	readonly boot: Boot | null;
}

/** A moment of the log. */
export interface Moment {
	readonly seq: number;
	readonly boot: number;
	readonly monoMs: number;
}

export interface Run extends Part {
	readonly begin: Moment;
	/** Null while it is under way; of an interrupted one, when that was found. */
	readonly end: Moment | null;
	readonly order: Order;
	/** `under way` as long as no record ends it. */
	readonly outcome: string;
	readonly trips: readonly string[];
}

const NOTHING: Tally = { motorMs: 0, pulses: 0 };

const momentOf = ({ seq, boot, monoMs }: LogRecord): Moment => ({ seq, boot, monoMs });

/** @param history records of one store, first to last; samples but the last may be missing */
export function runsOf(history: readonly LogRecord[]): Run[] {
	const runs: Run[] = [];
	let boot: Boot | null = null;
	let begun: Of<"run-begin"> | null = null;
	/** The boot in which the run began: its meter is the run's. */
	let begunIn: Boot | null = null;
	let trips: string[] = [];
	let starts = 0;
	let sample: Tally | null = null;
	const finish = (outcome: string, tally: Tally, end: Moment | null) => {
		if (begun === null) return;
		const begin = momentOf(begun);
		const { order } = begun;
		runs.push({ begin, end, order, outcome, tally, starts, boot: begunIn, trips });
		begun = null;
	};
	for (const record of history) {
		if (record.kind === "boot") boot = record;
		else if (record.kind === "run-begin") {
			begun = record;
			begunIn = boot;
			trips = [];
			starts = 0;
			sample = null;
		} else if (record.kind === "start") starts += 1;
		else if (record.kind === "trip" && begun !== null) trips.push(record.code);
		else if (record.kind === "sample" || record.kind === "digest") sample = record.run;
		else if (record.kind === "run-end") finish(record.outcome, record.run, momentOf(record));
		else if (record.kind === "interrupted") {
			finish("interrupted", record.run, momentOf(record));
		}
	}
	finish("under way", sample ?? NOTHING, null);
	return runs;
}

/**
 * What one store's rig has pumped without an order: pulses after a run's end, welded contacts.
 * @param afterSeq only what came after that record
 */
export function unorderedOf(history: readonly LogRecord[], afterSeq = 0): Part[] {
	const parts: Part[] = [];
	let boot: Boot | null = null;
	let before = NOTHING;
	for (const record of history) {
		if (record.kind === "boot") boot = record;
		if (record.kind !== "unordered") continue;
		const tally = less(record.sum, before);
		before = record.sum;
		if (record.seq > afterSeq) parts.push({ tally, starts: 0, boot });
	}
	return parts;
}

export const less = (a: Tally, b: Tally): Tally => ({
	motorMs: a.motorMs - b.motorMs,
	pulses: a.pulses - b.pulses,
});
