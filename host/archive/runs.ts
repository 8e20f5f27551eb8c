// Runs and totals from the records of one store: what was ordered, how it ended, what was moved.
// Pure. Litres are pulses over the K-factor that stood in the boot record of their time.

import type { LogRecord } from "../../firmware/log/record.ts";
import { hours, type Tally } from "../../firmware/totals.ts";

export interface RunRow {
	readonly rig: string;
	readonly boot: number;
	/** Number of the run's first record: names the run within its store. */
	readonly seq: number;
	readonly beginMs: number;
	readonly tank: string;
	readonly goalLitres: number;
	readonly outcome: string;
	readonly hours: number;
	readonly litres: number;
	readonly trips: readonly string[];
}

export interface TotalsRow {
	readonly rig: string;
	/** A tank's name, or `all`. */
	readonly tank: string;
	readonly hours: number;
	readonly litres: number;
	readonly runs: number;
}

type Of<K extends LogRecord["kind"]> = Extract<LogRecord, { kind: K }>;

/** @param history records of one store, first to last; samples but the last may be missing */
export function runsOf(history: readonly LogRecord[]): RunRow[] {
	const rows: RunRow[] = [];
	let boot: Of<"boot"> | null = null;
	let begun: Of<"run-begin"> | null = null;
	let trips: string[] = [];
	let sample: Tally | null = null;
	const finish = (outcome: string, run: Tally) => {
		if (begun === null) return;
		const { tank, goalLitres } = begun.order;
		rows.push({
			rig: boot?.rig ?? "unknown",
			boot: begun.boot,
			seq: begun.seq,
			beginMs: begun.monoMs,
			tank,
			goalLitres,
			outcome,
			hours: hours(run),
			litres: boot === null ? 0 : run.pulses / boot.pulsesPerLitre,
			trips,
		});
		begun = null;
	};
	for (const record of history) {
		if (record.kind === "boot") boot = record;
		else if (record.kind === "run-begin") {
			begun = record;
			trips = [];
			sample = null;
		} else if (record.kind === "trip") trips.push(record.code);
		else if (record.kind === "sample") sample = record.run;
		else if (record.kind === "run-end") finish(record.outcome, record.run);
		else if (record.kind === "interrupted") finish("interrupted", record.run);
	}
	finish("under way", sample ?? { motorMs: 0, pulses: 0 });
	return rows;
}

/** Hours and litres by tank, and of all of them; `all` comes last. */
export function totalsOf(runs: readonly RunRow[]): TotalsRow[] {
	const rows = new Map<string, TotalsRow>();
	for (const run of runs) {
		for (const tank of [run.tank, "all"]) {
			const before = rows.get(`${run.rig}/${tank}`);
			rows.set(`${run.rig}/${tank}`, {
				rig: run.rig,
				tank,
				hours: (before?.hours ?? 0) + run.hours,
				litres: (before?.litres ?? 0) + run.litres,
				runs: (before?.runs ?? 0) + 1,
			});
		}
	}
	const order = (row: TotalsRow) => `${row.rig}/${row.tank === "all" ? "~" : row.tank}`;
	return [...rows.values()].sort((a, b) => (order(a) < order(b) ? -1 : 1));
}
