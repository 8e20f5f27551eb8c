// The season's answer against sums worked by hand beside each test: litres and turnovers by tank
// and month with what they may be off, what is not dated in no month, water not twice, elements
// that were changed, and two stores.

import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { Archive } from "../../host/archive/archive.ts";
import { elementHistory, elementRow } from "../../host/archive/element.ts";
import type { TallyAt } from "../../host/archive/element-spans.ts";
import type { Note } from "../../host/archive/note.ts";
import { SEASON_LIMITS } from "../../host/archive/ready-limits.ts";
import { rigsIn } from "../../host/archive/rig-log.ts";
import { elementParts } from "../../host/archive/run-rows.ts";
import { litresIn } from "../../host/archive/totals.ts";
import { seasonOf, seasonOfLog } from "../../host/report/season.ts";
import { seasonAnswer } from "../../host/report/season-schema.ts";
import { makeSeason } from "./drawn-season.ts";
import {
	change,
	noted,
	RIG,
	rigOf,
	StoreWriter as Store,
	type StoreWriter,
	sample,
	tallies,
	uplift,
} from "./season-log.ts";

const NOW = Date.UTC(2026, 6, 1);
const HOUR = 3_600_000;
const april = Date.UTC(2026, 3, 10, 8);
const may = Date.UTC(2026, 4, 3, 8);

function season(stores: readonly StoreWriter[], notes: readonly Note[] = [], zone = "UTC") {
	const log = rigOf(stores, notes);
	return seasonAnswer.parse(seasonOfLog(log, tallies(stores), NOW, SEASON_LIMITS, zone));
}

/** 180 L in April; 300 and 60 L with water in May; 30 L of an unknown time after that. */
const usual = () =>
	new Store("store-a")
		.boot(april)
		.run({ tank: "port", litres: 180 })
		.boot(may)
		.run({ tank: "port", litres: 300 })
		.run({ tank: "starboard", litres: 60, waterMl: 250 })
		.boot(null)
		.run({ tank: "port", litres: 30 });

describe("a tank", () => {
	it("has its litres, hours and turnovers with what they may be off, k = 2", () => {
		const [port] = season([usual()]).tanks;
		expect(port).toMatchObject({ tank: "port", runs: 3, drains: 0, trips: 0 });
		// 180 + 300 + 30 L. K-factor 1 %: 5.1; allowance 2 % even: 510 * 0.02 / sqrt 3 = 5.889; three
		// counts of 1 / sqrt 6 / 420 = 0.001 each. 2 * sqrt(5.1² + 5.889²) = 15.581
		expect(port?.litres).toBeCloseTo(510, 9);
		expect(port?.litresUncertainty).toBeCloseTo(15.581, 2);
		// 510 / 90 h, 0.1 % even: 2 * 0.001 * 5.6667 / sqrt 3
		expect(port?.motorHours).toBeCloseTo(5.6667, 4);
		expect(port?.motorHoursUncertainty).toBeCloseTo(0.006543, 5);
		// 510 / 300, off by the same 3.055 %.
		expect(port?.turnovers).toBeCloseTo(1.7, 9);
		expect(port?.turnoversUncertainty).toBeCloseTo(0.05194, 4);
	});

	it("counts no turnovers of transfers and sweeps, but their litres", () => {
		const store = new Store("store-a")
			.boot(april)
			.run({ tank: "port", litres: 60, work: "transfer" })
			.run({ tank: "port", litres: 6, work: "sweep" })
			.run({ tank: "port", litres: 150 });
		const [day, port] = season([store]).tanks;
		expect(day).toMatchObject({ tank: "day", litres: 0 });
		expect(port?.litres).toBeCloseTo(216, 9);
		expect(port?.turnovers).toBeCloseTo(0.5, 9);
	});

	it("has what was noted of it, and the last sample that was not of the bowl", () => {
		const notes = [
			uplift(april, "port", 120),
			uplift(may, "port", 80),
			noted("dose", may, { tank: "port", product: "biocide", doseMl: 60 }),
			sample(may, "port", "hazy"),
			sample(may + HOUR, "port", "water", "bowl"),
		];
		const [port] = season([usual()], notes).tanks;
		expect(port).toMatchObject({ uplifts: 2, upliftLitres: 200, doses: 1, samples: 2 });
		expect(port?.lastSample).toMatchObject({ looked: "hazy", atUtcMs: may });
	});
});

describe("a month", () => {
	it("has the runs that began in it, by tank; what is not dated stands last", () => {
		const { months, undatedRuns } = season([usual()]);
		expect(undatedRuns).toBe(1);
		expect(months.map(({ month, tank, litres }) => [month, tank, Math.round(litres)])).toEqual([
			["2026-04", "port", 180],
			["2026-05", "port", 300],
			["2026-05", "starboard", 60],
			[null, "port", 30],
		]);
		// A minute into the boot after the dated one, which pumped 360 L with two minutes of rest; with
		// no bound to the other side.
		const end = may + 3 * 60_000 + (360 / 90) * HOUR;
		const between = months.at(-1)?.between;
		expect(between?.latestUtcMs).toBeNull();
		expect(Math.abs((between?.earliestUtcMs ?? 0) - end)).toBeLessThan(10_000);
		expect(months.slice(0, -1).every((row) => row.between === null)).toBe(true);
	});

	it("sums up with the others to the whole", () => {
		const answer = season([usual()], [uplift(april, "port", 120)]);
		const sum = (of: "litres" | "motorHours" | "runs" | "waterMl" | "trips" | "upliftLitres") =>
			answer.months.reduce((all, row) => all + row[of], 0);
		expect(sum("litres")).toBeCloseTo(answer.litres, 9);
		expect(sum("motorHours")).toBeCloseTo(answer.motorHours, 9);
		expect(sum("runs")).toBe(answer.runs);
		expect([sum("waterMl"), sum("trips"), sum("upliftLitres")]).toEqual([250, 1, 120]);
		expect([answer.waterMl, answer.trips, answer.upliftLitres]).toEqual([250, 1, 120]);
	});

	it("has nothing that may lie in either of two", () => {
		// The run begins a minute after the boot: at midnight, off by some 70 s.
		const edge = Date.UTC(2026, 3, 30, 23, 59);
		const store = new Store("store-a").boot(edge, 60_000).run({ tank: "port", litres: 90 });
		expect(season([store]).months).toMatchObject([
			{
				month: null,
				between: { earliestUtcMs: expect.any(Number), latestUtcMs: expect.any(Number) },
			},
		]);
		expect(season([store], [], "Pacific/Auckland").months).toMatchObject([{ month: "2026-05" }]);
		const sure = new Store("store-a").boot(edge, 100).run({ tank: "port", litres: 90 });
		expect(season([sure.wait(0)]).months).toMatchObject([{ month: null }]);
		const later = new Store("store-a").boot(edge + 1_000, 100).run({ tank: "port", litres: 90 });
		expect(season([later]).months).toMatchObject([{ month: "2026-05" }]);
	});

	it("is of the zone that the answer names", () => {
		const late = new Store("store-a")
			.boot(Date.UTC(2026, 3, 30, 20))
			.run({ tank: "port", litres: 9 });
		expect(season([late]).months[0]?.month).toBe("2026-04");
		expect(season([late], [], "Asia/Tokyo").months[0]?.month).toBe("2026-05");
	});
});

describe("elements", () => {
	it("that were changed twice have what each has seen, and together all of it", () => {
		const store = new Store("store-a").boot(april).run({ tank: "port", litres: 180, kpa: 9 });
		const first = store.lastSeq;
		store.boot(may).run({ tank: "port", litres: 300, kpa: 12 });
		const second = store.lastSeq;
		store.run({ tank: "starboard", litres: 60, kpa: 5 });
		const { elements, litres, forecast, forecastTank } = season(
			[store],
			[
				change(april + 9 * HOUR, 30, "store-a", first),
				change(may + 9 * HOUR, 12, "store-a", second),
			],
		);
		expect(elements.map((row) => [row.micron, row.runs, Math.round(row.litres), row.kpa])).toEqual([
			[null, 1, 180, 9],
			[30, 1, 300, 12],
			[12, 1, 60, 5],
		]);
		expect(elements.map(({ toUtcMs }) => toUtcMs)).toEqual([
			april + 9 * HOUR,
			may + 9 * HOUR,
			null,
		]);
		expect(elements.reduce((sum, row) => sum + row.litres, 0)).toBeCloseTo(litres, 9);
		expect(elements[2]?.trend).toMatchObject([{ tank: "starboard", kpa: 5 }]);
		expect(forecastTank).toBe("starboard");
		expect(forecast?.grams.low).toBeGreaterThan(0);
	});

	it("changed in mid-run share that run by what it had moved by then", () => {
		const store = new Store("store-a").boot(april).run({ tank: "port", litres: 100 });
		// Records of a run: begin, start, sample at half, end. Changed after the sample.
		const { elements } = season([store], [change(april, 12, "store-a", store.lastSeq - 1)]);
		expect(elements.map(({ litres, runs }) => [litres, runs])).toEqual([
			[50, 1],
			[50, 1],
		]);
	});

	it("changed as a run began have none of the run before in it", () => {
		const store = new Store("store-a")
			.boot(april)
			.run({ tank: "port", litres: 100 })
			.run({ tank: "port", litres: 40 });
		// After the second run's begin and before its first sample: what the sample before it tells is
		// the first run's.
		const { elements } = season([store], [change(april, 12, "store-a", store.lastSeq - 2)]);
		expect(elements.map(({ litres }) => litres)).toEqual([100, 40]);
	});

	it("are the same in an archive, total by total, changed before a run's first sample", () => {
		const file = join(mkdtempSync(join(tmpdir(), "lees-season-of-")), "split.sqlite");
		const store = new Store("store-a")
			.boot(april)
			.run({ tank: "port", litres: 100 })
			.run({ tank: "port", litres: 40, kpa: 9 });
		const archive = new Archive(file, { create: true });
		store.addTo(archive);
		// After the second run's begin and start, and before its sample.
		archive.notes.add(change(april, 12, "store-a", store.lastSeq - 3));
		const [log] = rigsIn(archive);
		if (log === undefined) throw new Error("no rig");
		const tallyAt: TallyAt = (...asked) => archive.tallyAt(...asked);
		expect(elementParts(log, tallyAt).runs).toBe(1);
		expect(litresIn(elementParts(log, tallyAt).parts)).toBe(40);
		expect(elementRow(log, tallyAt)).toMatchObject({ litres: 40, trend: [{ litres: 40 }] });
		expect(elementHistory(log, tallyAt).map(({ litres }) => litres)).toEqual([100, 40]);
		expect(seasonOf(archive, RIG, NOW).elements.map(({ litres }) => litres)).toEqual([100, 40]);
		archive.close();
	});

	it("changed in mid-run have the litres of that run's rest in their trend", () => {
		const store = new Store("store-a").boot(april).run({ tank: "port", litres: 100, kpa: 9 });
		// Begin, start, sample at half, restriction, end: changed after the sample.
		const notes = [change(april, 12, "store-a", store.lastSeq - 2)];
		const { elements } = season([store], notes);
		expect(elements[1]?.trend).toMatchObject([{ litres: 50, kpa: 9 }]);
		const row = elementRow(rigOf([store], notes), tallies([store]));
		expect(row).toMatchObject({ litres: 50, trend: [{ litres: 50, kpa: 9 }] });
	});

	it("noted before any log are the first that is told of", () => {
		const { elements } = season([usual()], [change(april - HOUR, 12, null, 0)]);
		expect(elements).toMatchObject([{ micron: 12, runs: 4 }]);
		expect(elements[0]?.litres).toBeCloseTo(570, 9);
	});
});

describe("two stores", () => {
	const both = () => [
		new Store("store-a").boot(april).run({ tank: "port", litres: 180, kpa: 9 }),
		new Store("store-b")
			.boot(may)
			.run({ tank: "port", litres: 20 })
			.run({ tank: "port", litres: 70 }),
	];

	it("are one rig: one meter's error in both", () => {
		const [port] = season(both()).tanks;
		expect(port?.litres).toBeCloseTo(270, 9);
		// 2 * 270 * sqrt(0.01² + (0.02 / sqrt 3)²)
		expect(port?.litresUncertainty).toBeCloseTo(8.2486, 3);
	});

	it("have their elements apart where the change lies in the second", () => {
		const stores = both();
		// After the second store's first run: boot, begin, start, sample, end.
		const { elements } = season(stores, [change(may, 12, "store-b", 5)]);
		expect(elements.map(({ litres }) => Math.round(litres))).toEqual([200, 70]);
	});
});

describe("pumping without an order", () => {
	const after = (pulses: number) =>
		new Store("store-a")
			.boot(april)
			.run({ tank: "port", litres: 90 })
			.write({ kind: "unordered", sum: { motorMs: 0, pulses } });

	it("counts with the run before it where it is a trickle, and else with no tank", () => {
		expect(season([after(21)]).months).toMatchObject([{ tank: "port" }]);
		expect(season([after(21)]).tanks[0]?.litres).toBeCloseTo(90.05, 9);
		const more = season([after(4_200)]);
		expect(more.months.map(({ tank, litres }) => [tank, litres])).toEqual([
			["port", 90],
			[null, 10],
		]);
		expect(more.litres).toBeCloseTo(100, 9);
	});
});

describe("what is drawn", () => {
	it("says so, and what is not does not", () => {
		expect(season([new Store("0b1e-invented01").boot(april)]).isInvented).toBe(true);
		expect(season([new Store("7f9c2ba4-e88f-427d-a161-6d9c0d1f5a31").boot(april)]).isInvented).toBe(
			false,
		);
	});
});

describe("an archive", () => {
	it("answers what the log does, with usual limits or others, and nothing of another rig", () => {
		const file = join(mkdtempSync(join(tmpdir(), "lees-season-of-")), "season.sqlite");
		const { log, tallyAt, nowMs } = makeSeason(file, 7);
		const archive = new Archive(file, { create: false });
		const answer = seasonOf(archive, log.rig, nowMs, {}, "UTC");
		expect(answer).toEqual(seasonOfLog(log, tallyAt, nowMs, SEASON_LIMITS, "UTC"));
		// Months of 310 + 280 + 12 L, and the undated 45 L.
		expect(answer.litres).toBeCloseTo(7 * 602 + 45, 6);
		const wider = seasonOf(archive, log.rig, nowMs, { standingDaysMax: 90 });
		expect(wider.limits).toMatchObject({ standingDaysMax: 90, upliftDays: 7 });
		expect(seasonOf(archive, "another", nowMs)).toMatchObject({ rig: "another", runs: 0 });
		archive.close();
	});
});

describe("a rig of which nothing is known", () => {
	it("has an answer of nothing", () => {
		const answer = season([]);
		expect(answer).toMatchObject({
			runs: 0,
			litres: 0,
			tanks: [],
			months: [],
			forecast: null,
			firstUtcMs: null,
		});
		expect(answer.ready.isReady).toBe(false);
	});
});
