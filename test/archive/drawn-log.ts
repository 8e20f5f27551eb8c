// Logs of a rig that never was, from a seed: boots, runs, samples with words among their numbers,
// chained as a controller chains them. Invented; for the archive's tests and its benchmark.

import { chained, type StoredRecord } from "../../firmware/log/chain.ts";
import { digestIn, digestOf, type Sample } from "../../firmware/log/digest.ts";
import type { LogRecord, RecordBody } from "../../firmware/log/record.ts";
import { textOf } from "../../firmware/log/record-text.ts";
import type { Arrived } from "../../host/archive/record-import.ts";
import { Dice } from "../../sim/bench/campaign/dice.ts";

export const STORE = "5f0c1d2e-invented";

export class LogWriter {
	readonly records: LogRecord[] = [];
	boot = 0;
	monoMs = 0;

	write(body: RecordBody): void {
		const { boot, monoMs, records } = this;
		records.push({ seq: records.length + 1, boot, monoMs, ...body });
	}

	begin(rig = "Drawn rig"): void {
		this.boot += 1;
		this.monoMs = 0;
		this.write({
			kind: "boot",
			rig,
			meter: {
				kind: "positive-displacement",
				pulsesPerLitre: 420,
				uncertainty: 4.2,
				isCalibrated: true,
			},
			pump: { lph: 95, uncertainty: 16.5, isMeasured: false },
		});
	}

	runBegin(id: string, tank: string): void {
		this.write({
			kind: "run-begin",
			order: {
				id,
				work: "polish",
				tank,
				toTank: null,
				goalLitres: 60,
				goalHours: null,
				goalShare: null,
				turnoverLitres: 180,
				dilution: null,
				sweep: null,
				attended: false,
			},
		});
	}
}

/** @param samplesMax of one run */
export function drawLog(seed: number, runs = 6, samplesMax = 400): LogRecord[] {
	const dice = new Dice(seed, "log");
	const writer = new LogWriter();
	const unordered = { motorMs: 0, pulses: 0 };
	writer.begin();
	for (let n = 0; n < runs; n += 1) {
		writer.monoMs += dice.whole(1_000, 400_000);
		writer.runBegin(`run-${n}`, dice.one(["port", "starboard", "day"]));
		writer.write({ kind: "start", reason: "ordered" });
		// A run of a moment leaves a tally that the next run's first sample passes.
		const samples = dice.chance(25) ? dice.whole(0, 1) : dice.whole(0, samplesMax);
		const run = drawSamples(writer, dice, samples);
		if (dice.chance(25)) {
			writer.begin();
			writer.write({ kind: "interrupted", id: `run-${n}`, run });
			continue;
		}
		if (dice.chance(30)) writer.write({ kind: "trip", code: "dry-run", cause: "drawn" });
		// The last second is in no sample.
		const last = { motorMs: run.motorMs + 400, pulses: run.pulses + 4 };
		writer.write({ kind: "run-end", outcome: "finished", reasons: [], run: last });
		if (dice.chance(40)) {
			unordered.pulses += dice.whole(1, 3);
			writer.write({ kind: "unordered", sum: { ...unordered } });
		}
	}
	return writer.records;
}

function drawSamples(writer: LogWriter, dice: Dice, count: number) {
	let run = { motorMs: 0, pulses: 0 };
	for (let i = 0; i < count; i += 1) {
		writer.monoMs += 1_000 + dice.whole(-1, 1) * 100;
		run = { motorMs: run.motorMs + 1_000, pulses: run.pulses + dice.whole(8, 13) };
		writer.write({
			kind: "sample",
			flowLph: dice.chance(3) ? "stale" : dice.whole(0, 1_000) / 10,
			vacuumKpa: dice.whole(-20, 3_000) / 100,
			supplyVolts: dice.whole(1_200, 1_300) / 100,
			motorAmps: dice.chance(2) ? "out-of-range" : dice.whole(150, 190) / 100,
			fuelC: i < 20 ? "not-fitted" : dice.whole(-50, 250) / 10,
			run,
		});
	}
	return run;
}

export function chainedRecords(records: readonly LogRecord[], storeId = STORE): StoredRecord[] {
	let chain = storeId;
	return records.map((record) => {
		const json = textOf(record);
		chain = chained(chain, json);
		return { seq: record.seq, json, chain };
	});
}

/** As a batch of the link. */
export const batchOf = (records: readonly StoredRecord[]): Arrived => ({
	items: records.map(({ json }) => json),
	chain: records.at(-1)?.chain ?? "",
});

/** These samples as one digest in place of them. @param from index of the first */
export function digested(stored: readonly StoredRecord[], from: number, count: number) {
	const samples = stored.slice(from, from + count).map(({ json }) => {
		const { v: _, ...sample } = JSON.parse(json);
		return sample as Sample;
	});
	const before = stored[from - 1]?.chain ?? STORE;
	const after = stored[from + count - 1]?.chain ?? "";
	const digest = digestOf(samples, before, after);
	const json = textOf(digest);
	if (digestIn(json) === null) throw new Error("the digest does not come back");
	return { seq: digest.seq, json, chain: after };
}
