// Runs and totals from the records of one store: what was ordered, how it ended, what was moved.
// Pure. Litres are pulses over the K-factor that stood in the boot record of their time.

import type { Order } from "../../firmware/cycle/orders.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { hours, type Tally } from "../../firmware/totals.ts";

export interface RunRow {
	readonly rig: string;
	readonly boot: number;
	/** Number of the run's first record: names the run within its store. */
	readonly seq: number;
	readonly beginMs: number;
	readonly work: Order["work"];
	readonly tank: string;
	/** Of the return, where that is another tank. */
	readonly toTank: string | null;
	readonly goalLitres: number | null;
	readonly goalHours: number | null;
	readonly goalShare: number | null;
	readonly dilution: Order["dilution"];
	readonly sweep: Order["sweep"];
	readonly outcome: string;
	readonly hours: number;
	readonly litres: number;
	readonly trips: readonly string[];
}

export interface TotalsRow {
	readonly rig: string;
	/** A tank's name; `no order` for what ran without one; `all` for the sum. */
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
	/** The boot in which the run began: its K-factor is the run's. */
	let begunIn: Of<"boot"> | null = null;
	let trips: string[] = [];
	let sample: Tally | null = null;
	const finish = (outcome: string, run: Tally) => {
		if (begun === null) return;
		const { work, tank, toTank, goalLitres, goalHours, goalShare, dilution, sweep } = begun.order;
		rows.push({
			rig: begunIn?.rig ?? "unknown",
			boot: begun.boot,
			seq: begun.seq,
			beginMs: begun.monoMs,
			work,
			tank,
			toTank,
			goalLitres,
			goalHours,
			goalShare,
			dilution,
			sweep,
			outcome,
			hours: hours(run),
			litres: begunIn === null ? 0 : run.pulses / begunIn.meter.pulsesPerLitre,
			trips,
		});
		begun = null;
	};
	for (const record of history) {
		if (record.kind === "boot") boot = record;
		else if (record.kind === "run-begin") {
			begun = record;
			begunIn = boot;
			trips = [];
			sample = null;
		} else if (record.kind === "trip" && begun !== null) trips.push(record.code);
		else if (record.kind === "sample") sample = record.run;
		else if (record.kind === "run-end") finish(record.outcome, record.run);
		else if (record.kind === "interrupted") finish("interrupted", record.run);
	}
	finish("under way", sample ?? { motorMs: 0, pulses: 0 });
	return rows;
}

/** What one store's rig has pumped without an order: pulses after a run's end, welded contacts. */
export function unorderedOf(history: readonly LogRecord[]): TotalsRow | null {
	let boot: Of<"boot"> | null = null;
	let found: TotalsRow | null = null;
	for (const record of history) {
		if (record.kind === "boot") boot = record;
		if (record.kind !== "unordered" || boot === null) continue;
		const litres = record.sum.pulses / boot.meter.pulsesPerLitre;
		found = { rig: boot.rig, tank: "no order", hours: hours(record.sum), litres, runs: 0 };
	}
	return found;
}

/** Hours and litres by tank, what ran without an order, and the sum of both: `all` comes last. */
export function totalsOf(
	runs: readonly RunRow[],
	unordered: readonly TotalsRow[] = [],
): TotalsRow[] {
	const parts: TotalsRow[] = [...runs.map((run) => ({ ...run, runs: 1 })), ...unordered];
	const rows = new Map<string, TotalsRow>();
	for (const part of parts) {
		for (const tank of [part.tank, "all"]) {
			const before = rows.get(`${part.rig}/${tank}`);
			rows.set(`${part.rig}/${tank}`, {
				rig: part.rig,
				tank,
				hours: (before?.hours ?? 0) + part.hours,
				litres: (before?.litres ?? 0) + part.litres,
				runs: (before?.runs ?? 0) + part.runs,
			});
		}
	}
	const order = (row: TotalsRow) => `${row.rig}/${row.tank === "all" ? "~" : row.tank}`;
	return [...rows.values()].sort((a, b) => (order(a) < order(b) ? -1 : 1));
}
