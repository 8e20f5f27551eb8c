// Points for a page's charts: one a second of the last ten minutes, and the run at work or the last
// one in some hundreds of means. What was sensed while the server looked, and the samples of the
// log for the time before and for a line that was away. Pure.

import type { Batch } from "../../firmware/link/batch.ts";
import type { Senses } from "../../firmware/link/protocol.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { readableRecord } from "../link/readable-record.ts";
import { RunPoints } from "../web/run-points.ts";
import type { Point, Series } from "../web/scene.ts";

const RECENT_MS = 600_000;
/** Two looks at the same second are one point, ms. */
const APART_MS = 700;

type Sample = Extract<LogRecord, { kind: "sample" }>;

export class SeriesKeeper {
	/** Goes up when the run is another one, or the past has been filled in: points alone do not. */
	version = 0;
	private recent: Point[] = [];
	private run: RunPoints | null = null;

	get now(): Series {
		return { recent: this.recent, run: this.run?.points ?? [] };
	}

	get latest(): Point | null {
		return this.recent.at(-1) ?? null;
	}

	/** Another boot counts its time anew. */
	clear(): void {
		this.recent = [];
		this.run = null;
		this.version += 1;
	}

	/** @param isAtWork an order is, whether its beginning was seen or not */
	takeSenses({ monoMs, sensed }: Senses, isAtWork: boolean): void {
		if (sensed === null) return;
		if (isAtWork && this.run?.mayHold(monoMs) !== true) this.beginRun(monoMs, false);
		this.insert(pointOf(monoMs, sensed));
	}

	/** @returns what else than samples there is among them */
	takeBatches(batches: readonly Batch[], boot: number): { hasEvents: boolean; hasRunEnd: boolean } {
		let hasEvents = false;
		let hasRunEnd = false;
		let appended = 0;
		for (const record of recordsOf(batches)) {
			if (record.boot !== boot) continue;
			if (record.kind === "sample") {
				if (this.takeSample(record)) appended += 1;
				continue;
			}
			hasEvents = true;
			if (record.kind === "run-begin") this.beginRun(record.monoMs, true);
			else if (record.kind === "run-end") {
				hasRunEnd = true;
				this.endRun(record.monoMs);
			}
		}
		// Of several only the last is told as a point of its own.
		if (appended > 1) this.version += 1;
		return { hasEvents, hasRunEnd };
	}

	/** @returns whether it is the newest one now */
	private takeSample(sample: Sample): boolean {
		const point = pointOf(sample.monoMs, sample);
		if (!this.insert(point)) return false;
		if (this.latest === point) return true;
		// It fills a gap.
		this.version += 1;
		return false;
	}

	private beginRun(fromMs: number, isBeginKnown: boolean): void {
		this.run = new RunPoints(fromMs, isBeginKnown);
		for (const point of this.recent) this.run.take(point);
		this.version += 1;
	}

	/** Of the run that is drawn, or of the one before it, which the log tells later. */
	private endRun(atMs: number): void {
		const { run } = this;
		if (run === null) return;
		if (atMs >= run.fromMs) run.end(atMs);
		else if (run.mayHold(atMs)) this.beginRun(atMs, true);
	}

	/** @returns false where there is one of that second already */
	private insert(point: Point): boolean {
		const { recent } = this;
		let at = recent.length;
		while (at > 0 && (recent[at - 1]?.monoMs ?? 0) > point.monoMs) at -= 1;
		const isNear = (other: Point | undefined) =>
			other !== undefined && Math.abs(other.monoMs - point.monoMs) < APART_MS;
		if (isNear(recent[at - 1]) || isNear(recent[at])) return false;
		this.run?.take(point);
		recent.splice(at, 0, point);
		const oldestMs = (recent.at(-1)?.monoMs ?? 0) - RECENT_MS;
		const first = recent.findIndex(({ monoMs }) => monoMs >= oldestMs);
		if (first > 0) recent.splice(0, first);
		return true;
	}
}

function* recordsOf(batches: readonly Batch[]): Generator<LogRecord> {
	for (const { items } of batches) {
		for (const item of items) {
			for (const text of item.type === "text" ? [item.text] : item.run.texts()) {
				const record = readableRecord(text);
				if (record !== null) yield record;
			}
		}
	}
}

type Sensed = NonNullable<Senses["sensed"]>;
type Quantities = Readonly<Record<Exclude<keyof Point, "monoMs">, number | string>>;

function pointOf(monoMs: number, found: Pick<Sensed | Sample, keyof Quantities>): Point {
	return {
		monoMs,
		flowLph: known(found.flowLph),
		vacuumKpa: known(found.vacuumKpa),
		motorAmps: known(found.motorAmps),
		supplyVolts: known(found.supplyVolts),
	};
}

/** A word says why there is no number. */
const known = (quantity: number | string): number | null =>
	typeof quantity === "number" ? quantity : null;
