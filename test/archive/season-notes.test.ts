// What people noted, in the season: water that was told and noted as well counts once there and in
// the waste ledger, samples and waste are told in words, and what was struck counts no more.

import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { Archive } from "../../host/archive/archive.ts";
import type { Note } from "../../host/archive/note.ts";
import { SEASON_LIMITS } from "../../host/archive/ready-limits.ts";
import { wasteLedger } from "../../host/archive/waste-ledger.ts";
import { seasonOf, seasonOfLog } from "../../host/report/season.ts";
import { seasonPaper } from "../../host/report/season-blocks.ts";
import { seasonAnswer } from "../../host/report/season-schema.ts";
import { SI } from "../../host/web/units.ts";
import { en } from "../../host/web/words/en.ts";
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

function season(stores: readonly StoreWriter[], notes: readonly Note[] = []) {
	const log = rigOf(stores, notes);
	return seasonAnswer.parse(seasonOfLog(log, tallies(stores), NOW, SEASON_LIMITS, "UTC"));
}

/** 360 L in May, and water with it. */
const usual = () =>
	new Store("store-a")
		.boot(may)
		.run({ tank: "port", litres: 300 })
		.run({ tank: "starboard", litres: 60, waterMl: 250 });

const HANDED = { wasteMl: 250, container: "red can", place: "yard", receipt: "77" };

describe("water", () => {
	const told = () => new Store("store-a").boot(may).run({ tank: "port", litres: 60, waterMl: 250 });
	const drained = (atUtcMs: number, drainedMl: number) => noted("drained", atUtcMs, { drainedMl });

	it("that was told and noted counts once, and says so", () => {
		const answer = season([told()], [drained(may + 5 * HOUR, 250), drained(may + 30 * HOUR, 100)]);
		expect(answer).toMatchObject({ waterMl: 350, drains: 2, notedTwice: 1 });
		expect(answer.tanks[0]).toMatchObject({ tank: "port", waterMl: 350 });
	});

	it("of other millilitres, or of another day, is other water", () => {
		const notes = [drained(may + 5 * HOUR, 240), drained(may + 20 * HOUR, 250)];
		expect(season([told()], notes)).toMatchObject({ waterMl: 740, drains: 3, notedTwice: 0 });
	});

	it("is in the waste ledger once too, with the container that the note names", () => {
		const note = noted("drained", may + 5 * HOUR, { drainedMl: 250, container: "red can" });
		expect(wasteLedger(rigOf([told()], [note]))).toMatchObject({
			drainedMl: 250,
			containedMl: 250,
			aboardMl: 250,
			looseMl: 0,
		});
		const more = [note, noted("waste", may + 50 * HOUR, HANDED)];
		expect(wasteLedger(rigOf([told()], more))).toMatchObject({ handedMl: 250, aboardMl: 0 });
		const { checks } = season([told()], more).ready;
		expect(checks.find(({ check }) => check === "waste")?.status).toBe("held");
	});

	it("that a note tells of another tank is other water", () => {
		const note = (tank: string) => noted("drained", may + HOUR, { drainedMl: 250, tank });
		expect(season([told()], [note("starboard")])).toMatchObject({ waterMl: 500, notedTwice: 0 });
		expect(season([told()], [note("port")])).toMatchObject({ waterMl: 250, notedTwice: 1 });
	});

	it("that one note tells stands for one record alone", () => {
		const twice = told().run({ tank: "port", litres: 60, waterMl: 250 });
		const answer = season([twice], [drained(may + 3 * HOUR, 250)]);
		expect(answer).toMatchObject({ waterMl: 500, drains: 2, notedTwice: 1 });
	});

	it("noted after an undated run is of no tank where another tank's may be the last", () => {
		const store = new Store("store-a")
			.boot(april)
			.run({ tank: "port", litres: 60 })
			.boot(null)
			.run({ tank: "starboard", litres: 60 });
		const { months } = season([store], [drained(may, 70)]);
		expect(months.find(({ waterMl }) => waterMl === 70)).toMatchObject({ tank: null });
		const same = new Store("store-a").boot(april).run({ tank: "port", litres: 60 });
		expect(season([same], [drained(may, 70)]).tanks[0]?.waterMl).toBe(70);
	});
});

describe("what was noted", () => {
	it("is told in words, and waste with where it went", () => {
		const notes = [
			sample(may, "port", "clear"),
			noted("sample", may + HOUR, {
				tank: "port",
				from: "tank-bottom",
				looked: "clear",
				clearAndBright: true,
				iso4406: "18/16/13",
			}),
			noted("waste", may + 2 * HOUR, { ...HANDED, place: null, receipt: null }),
			noted("waste", may + 3 * HOUR, HANDED),
			noted("waste", may + 4 * HOUR, { ...HANDED, receipt: null }),
		];
		const { blocks } = seasonPaper(season([usual()], notes), SI, en);
		const table = blocks.flatMap((block) => (block.kind === "table" ? [block] : []));
		const entries = table.find(({ columns }) => columns[3]?.head === "details");
		expect(entries?.rows.map((row) => [row[1], row[3]])).toEqual([
			["sample", "of the tank after 24 h of standing, clear"],
			["sample", "of the tank's bottom, clear and bright (ASTM D4176), ISO 4406 18/16/13"],
			["waste", "250 mL, into red can"],
			["waste", "250 mL, from red can, handed in at yard, receipt 77"],
			["waste", "250 mL, from red can, handed in at yard, no receipt noted"],
		]);
	});

	it("counts no more once it was struck", () => {
		const file = join(mkdtempSync(join(tmpdir(), "lees-season-of-")), "struck.sqlite");
		const archive = new Archive(file, { create: true });
		const store = usual();
		store.addTo(archive);
		const notes = [
			uplift(may, "port", 80),
			change(may, 12, store.storeId, 5),
			noted("drained", may + 40 * HOUR, { drainedMl: 70 }),
			noted("waste", may, { ...HANDED, wasteMl: 250 }),
		];
		for (const note of notes) archive.notes.add(note);
		const before = seasonOf(archive, RIG, NOW, {}, "UTC");
		expect(before.entries).toHaveLength(3);
		expect(before).toMatchObject({ waterMl: 320, upliftLitres: 80 });
		for (const { id } of notes) archive.notes.strike(id, NOW);
		expect(seasonOf(archive, RIG, NOW, {}, "UTC")).toEqual(season([store]));
		archive.close();
	});
});
