// Numbers the records of one tick. A wish that is given with a record waits for that record to be
// durable before it takes effect. Pure but for the lists it fills.

import type { Told } from "../cycle/advance.ts";
import type { Waiting, Wish } from "../intake.ts";
import { type Totals, withNewRun } from "../totals.ts";
import type { LogRecord, RecordBody } from "./record.ts";

export interface Writer {
	readonly records: LogRecord[];
	readonly waiting: Waiting[];
	write(body: RecordBody, wish?: Wish): void;
}

export function createWriter(boot: number, nextSeq: number, monoMs: number): Writer {
	const records: LogRecord[] = [];
	const waiting: Waiting[] = [];
	const write = (body: RecordBody, wish?: Wish) => {
		const seq = nextSeq + records.length;
		records.push({ seq, boot, monoMs, ...body });
		if (wish !== undefined) waiting.push({ seq, sinceMs: monoMs, wish });
	};
	return { records, waiting, write };
}

/**
 * Writes what the statechart told. A run begins and ends its own tally with its record.
 * @returns the totals after that
 */
export function writeTold(writer: Writer, told: readonly Told[], counted: Totals): Totals {
	let totals = counted;
	for (const { effect } of told) {
		const { type, ...rest } = effect;
		if (effect.type === "run-begin") totals = withNewRun(totals);
		if (effect.type === "run-end") {
			const { outcome, reasons } = effect;
			writer.write({ kind: "run-end", outcome, reasons: [...reasons], run: totals.run });
		} else {
			const body = { kind: type, ...rest } as RecordBody;
			writer.write(body, effect.type === "start" ? { type: "start" } : undefined);
		}
	}
	return totals;
}
