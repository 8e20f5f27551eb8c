// Points for the bench's charts: one a second of simulated time for ten minutes, and the run at
// work or the last one in some hundreds of means. Pure.

import type { Senses } from "../../../firmware/link/protocol.ts";
import type { LogRecord } from "../../../firmware/log/record.ts";
import { RunPoints } from "../run-points.ts";
import type { Point, Series } from "../scene.ts";

const RECENT_MAX = 600;

type Sensed = NonNullable<Senses["sensed"]>;

export class Curves {
	private recent: Point[] = [];
	private run: RunPoints | null = null;

	get now(): Series {
		return { recent: this.recent, run: this.run?.points ?? [] };
	}

	/** To be called once a second. */
	take(monoMs: number, sensed: Pick<Sensed, Exclude<keyof Point, "monoMs">>): void {
		const point = {
			monoMs,
			flowLph: known(sensed.flowLph),
			vacuumKpa: known(sensed.vacuumKpa),
			motorAmps: known(sensed.motorAmps),
			supplyVolts: known(sensed.supplyVolts),
		};
		// Another list each time: whoever has been given the last one keeps it as it was.
		this.recent = [...this.recent.slice(1 - RECENT_MAX), point];
		this.run?.take(point);
	}

	follow({ kind, monoMs }: LogRecord): void {
		if (kind === "run-begin") this.run = new RunPoints(monoMs, true);
		if (kind === "run-end") this.run?.end(monoMs);
	}
}

/** A word says why there is no number. */
const known = (quantity: number | string): number | null =>
	typeof quantity === "number" ? quantity : null;
