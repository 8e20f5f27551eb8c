// The points of a page's charts: from what is sensed and from the log, in any order in which they
// come; a run of any length in some hundreds of means; events dated by the rig's own clock.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type Batch, decodeLogPayload } from "../../firmware/link/batch.ts";
import { FrameFiller } from "../../firmware/link/frame-filler.ts";
import type { Senses } from "../../firmware/link/protocol.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { textOf } from "../../firmware/log/record-text.ts";
import { eventLines } from "../../host/report/event-lines.ts";
import { SeriesKeeper } from "../../host/serve/series-keeper.ts";
import { RunPoints } from "../../host/web/run-points.ts";
import { logOf } from "./link-rig.ts";
import { SENSED } from "./shown-rig.ts";

const run = { motorMs: 0, pulses: 0 };
const order = {
	id: "o",
	work: "polish",
	tank: "port",
	toTank: null,
	attended: true,
	goalLitres: 10,
	goalHours: null,
	goalShare: null,
	dilution: null,
	turnoverLitres: 310,
	sweep: null,
};
type Body = Record<string, unknown> & { kind: LogRecord["kind"]; monoMs: number };

/** The records as the link brings them. */
function batchesOf(bodies: readonly Body[]): Batch[] {
	const records = bodies.map((body, i) => ({ seq: i + 1, boot: 1, ...body }) as LogRecord);
	const log = logOf(records.map(textOf));
	const filler = new FrameFiller();
	const source = {
		read: (from: number, max: number) => log.filter(({ seq }) => seq >= from).slice(0, max),
	};
	const batches: Batch[] = [];
	for (let from = 1; from <= log.length; ) {
		const filled = filler.fill(source, { transfer: 1, from, offset: 0, to: log.length });
		if (filled === null) throw new Error(`nothing from record ${from} on`);
		const batch = decodeLogPayload(Buffer.from(filled.payload));
		if (batch.type !== "batch") throw new Error("a record that is too large");
		batches.push(batch);
		from = batch.toSeq + 1;
	}
	return batches;
}

const sample = (monoMs: number, vacuumKpa = 14): Body => ({
	kind: "sample",
	monoMs,
	...{ flowLph: 90, vacuumKpa, supplyVolts: 12.6, motorAmps: 1.8, fuelC: 15, run },
});

const look = (monoMs: number, vacuumKpa: number | string = 14): Senses => ({
	monoMs,
	commissioned: false,
	blocked: [],
	sensed: { ...SENSED, flowLph: 90, vacuumKpa },
});

const times = (points: readonly { monoMs: number }[]) => points.map(({ monoMs }) => monoMs);

describe("the last ten minutes", () => {
	it("are in order, a second apart, whatever came first", () => {
		fc.assert(
			fc.property(
				fc.array(fc.record({ at: fc.nat(900_000), isLog: fc.boolean() }), { maxLength: 60 }),
				(draws) => {
					const keeper = new SeriesKeeper();
					for (const { at, isLog } of draws) {
						if (isLog) keeper.takeBatches(batchesOf([sample(at)]), 1);
						else keeper.takeSenses(look(at), false);
					}
					const found = times(keeper.now.recent);
					const last = found.at(-1) ?? 0;
					found.forEach((at, i) => {
						expect(at - (found[i - 1] ?? -1_000)).toBeGreaterThanOrEqual(700);
						expect(last - at).toBeLessThanOrEqual(600_000);
					});
				},
			),
			{ numRuns: 100, seed: 20_261_126 },
		);
	});

	it("have nothing where nothing was known", () => {
		const keeper = new SeriesKeeper();
		keeper.takeSenses(look(1_000, "too-old"), false);
		expect(keeper.latest).toMatchObject({ flowLph: 90, vacuumKpa: null });
	});

	it("are filled from the log where the line was away, and that is told", () => {
		const keeper = new SeriesKeeper();
		keeper.takeSenses(look(1_000), false);
		keeper.takeSenses(look(10_000), false);
		const { version } = keeper;
		keeper.takeBatches(batchesOf([3_000, 4_000, 5_000].map((at) => sample(at))), 1);
		expect(times(keeper.now.recent)).toEqual([1_000, 3_000, 4_000, 5_000, 10_000]);
		expect(keeper.version).toBeGreaterThan(version);
	});
});

describe("a run", () => {
	it("begins and ends with its records, and the next one begins anew", () => {
		const keeper = new SeriesKeeper();
		const begin = (monoMs: number): Body => ({ kind: "run-begin", monoMs, order });
		const end = (monoMs: number): Body => ({
			kind: "run-end",
			monoMs,
			...{ outcome: "finished", reasons: [], run },
		});
		const first = [begin(5_000), sample(6_000), sample(7_000), end(8_000), sample(9_000)];
		const found = keeper.takeBatches(batchesOf([sample(1_000), ...first]), 1);
		expect(found).toEqual({ hasEvents: true, hasRunEnd: true });
		expect(times(keeper.now.run)).toEqual([6_500, 7_500]);
		keeper.takeBatches(batchesOf([begin(20_000), sample(21_000)]), 1);
		expect(times(keeper.now.run)).toEqual([21_500]);
	});

	it("that was at work before the server came is drawn from its own beginning on", () => {
		const keeper = new SeriesKeeper();
		keeper.takeSenses(look(50_000), true);
		const before = [sample(30_000), { kind: "run-end", monoMs: 31_000, outcome: "finished", run }];
		keeper.takeBatches(
			batchesOf([
				before[0] as Body,
				{ ...(before[1] as Body), reasons: [] },
				{ kind: "run-begin", monoMs: 40_000, order },
				sample(45_000),
			]),
			1,
		);
		keeper.takeSenses(look(51_000), true);
		expect(times(keeper.now.run)).toEqual([45_500, 50_500, 51_500]);
	});

	it("of a whole night has some hundreds of points whose mean is the whole's", () => {
		const points = new RunPoints(0, true);
		let sum = 0;
		const seconds = 10 * 3_600;
		for (let s = 0; s < seconds; s += 1) {
			const vacuumKpa = 10 + (s % 7);
			sum += vacuumKpa;
			points.take({ monoMs: s * 1_000, flowLph: 90, vacuumKpa, motorAmps: null, supplyVolts: 12 });
		}
		const found = points.points;
		expect(found.length).toBeGreaterThan(250);
		expect(found.length).toBeLessThanOrEqual(600);
		const mean = found.reduce((all, { vacuumKpa }) => all + (vacuumKpa ?? 0), 0) / found.length;
		expect(mean).toBeCloseTo(sum / seconds, 1);
		expect(found.every(({ motorAmps }) => motorAmps === null)).toBe(true);
	});
});

describe("events", () => {
	const stop: LogRecord = { seq: 3, boot: 1, monoMs: 60_000, kind: "stop", by: "button" };
	const clock = { utcMs: 1_795_946_400_000, offsetMinutes: 60, uncertaintyMs: 1_000 };
	const set: LogRecord = { seq: 9, boot: 1, monoMs: 100_000, kind: "clock", id: "c", clock };

	it("are undated until the rig is told the time, and then back to the boot", () => {
		expect(eventLines([stop], 420, null)[0]).toMatchObject({ seq: 3, utcMs: null, isTrip: false });
		expect(eventLines([stop], 420, set)[0]?.utcMs).toBe(clock.utcMs - 40_000);
	});
});
