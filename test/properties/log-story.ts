// Logs made up for tests of the store: boots and runs with as many samples as a test asks for,
// numbered as a controller numbers them. Figures are invented.

import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { LastRecord, StoreFile } from "../../firmware/log/database.ts";
import type { LogRecord, RecordBody } from "../../firmware/log/record.ts";
import { plainOrder } from "../stories/well.ts";

export const newFile = () => join(mkdtempSync(join(tmpdir(), "lees-store-")), "log.sqlite");

const order = { ...plainOrder, id: "order-1", attended: true };

const meter = {
	kind: "turbine",
	pulsesPerLitre: 450,
	uncertainty: null,
	isCalibrated: false,
} as const;

export class LogStory {
	private seq = 0;
	private bootNumber = 0;
	private monoMs = 0;
	private seconds = 0;

	/** What follows the newest record of a store. */
	static after({ seq, boot }: LastRecord): LogStory {
		const story = new LogStory();
		story.seq = seq;
		story.bootNumber = boot;
		return story;
	}

	boot(): LogRecord[] {
		this.bootNumber += 1;
		this.monoMs = 0;
		return [this.record({ kind: "boot", rig: "Heron", meter, pump: null })];
	}

	/** A run that goes on. */
	begin(seconds: number): LogRecord[] {
		this.seconds = 0;
		return [this.record({ kind: "run-begin", order }), ...this.samples(seconds)];
	}

	/** One a second, as the pump runs. */
	samples(seconds: number): LogRecord[] {
		return Array.from({ length: seconds }, () => this.sample());
	}

	end(): LogRecord[] {
		return [this.record({ kind: "run-end", outcome: "finished", reasons: [], run: this.tally() })];
	}

	run(seconds: number): LogRecord[] {
		return [...this.begin(seconds), ...this.end()];
	}

	trip(): LogRecord[] {
		return [this.record({ kind: "trip", code: "dry-run", cause: "no fuel" })];
	}

	record(body: RecordBody): LogRecord {
		this.seq += 1;
		const { seq, bootNumber: boot, monoMs } = this;
		return { seq, boot, monoMs, ...body };
	}

	private tally() {
		return { motorMs: this.seconds * 1000, pulses: this.seconds * 11 };
	}

	private sample(): LogRecord {
		this.seconds += 1;
		this.monoMs += 1000;
		const wave = Math.sin(this.seconds / 7);
		return this.record({
			kind: "sample",
			flowLph: Math.round(900 + 40 * wave) / 10,
			vacuumKpa: Math.round(1_425 + 90 * wave) / 100,
			// Now and then a sensor says nothing.
			supplyVolts: this.seconds % 50 === 0 ? "stale" : 12.61,
			motorAmps: 1.71,
			fuelC: "not-fitted",
			run: this.tally(),
		});
	}
}

/** Writes in pieces, and does what can wait after each, as the store's thread does. */
export function fill(store: StoreFile, records: readonly LogRecord[], each = 600): void {
	for (let i = 0; i < records.length; i += each) {
		store.write(records.slice(i, i + each), []);
		while (store.isUntidy()) store.tidy();
	}
}
