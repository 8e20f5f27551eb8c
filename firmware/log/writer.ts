// Numbers the records of one tick. A wish that is given with a record waits for that record to be
// durable before it takes effect. Pure but for the lists it fills.

import type { Told } from "../cycle/advance.ts";
import type { Waiting, Wish } from "../intake.ts";
import { type Totals, withNewRun } from "../totals.ts";
import type { LogRecord, RecordBody } from "./record.ts";

export class Writer {
	readonly records: LogRecord[] = [];
	readonly waiting: Waiting[] = [];
	private readonly boot: number;
	private readonly nextSeq: number;
	private readonly monoMs: number;

	constructor(boot: number, nextSeq: number, monoMs: number) {
		this.boot = boot;
		this.nextSeq = nextSeq;
		this.monoMs = monoMs;
	}

	write(body: RecordBody, wish?: Wish): void {
		const { boot, monoMs } = this;
		const seq = this.nextSeq + this.records.length;
		this.records.push({ seq, boot, monoMs, ...body });
		if (wish !== undefined) this.waiting.push({ seq, sinceMs: monoMs, wish });
	}
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
