// When a tank is next due: each reason alone, the first of several, what settles it, and what the
// dates are too unsure to tell. Days are counted by hand beside each.

import { describe, expect, it } from "vitest";
import { nextDueSchema } from "../../host/archive/due-schema.ts";
import { nextDue } from "../../host/archive/next-due.ts";
import type { Note } from "../../host/archive/note.ts";
import { SEASON_LIMITS } from "../../host/archive/ready-limits.ts";
import { noted, rigOf, StoreWriter, sample, uplift } from "./season-log.ts";

const DAY = 86_400_000;
const may = Date.UTC(2026, 4, 3, 8);
const day = (ms: number | null | undefined) =>
	ms === null || ms === undefined ? null : new Date(ms).toISOString().slice(0, 10);

function due(store: StoreWriter, notes: readonly Note[] = [], nowMs = may + 5 * DAY) {
	return nextDueSchema.parse(nextDue(rigOf([store], notes), "port", SEASON_LIMITS, nowMs));
}
const codes = (of: ReturnType<typeof due>) => of.reasons.map(({ code }) => code);

/** 900 L through a tank of 300: three turnovers. */
const polished = () => new StoreWriter("store-a").boot(may).run({ tank: "port", litres: 900 });
const stopped = () =>
	new StoreWriter("store-a").boot(may).run({ tank: "port", litres: 900, waterMl: 200 });

describe("a tank is next due", () => {
	it("30 days after it was last polished", () => {
		const found = due(polished());
		expect(codes(found)).toEqual(["standing"]);
		expect(found).toMatchObject({ status: "later", what: "polish" });
		// The run ends 10 h after 3 May, 08:00.
		expect([day(found.earliestUtcMs), day(found.latestUtcMs)]).toEqual([
			"2026-06-02",
			"2026-06-02",
		]);
		expect(due(polished(), [], may + 31 * DAY).status).toBe("now");
	});

	it("at once where it was never polished, and not while it is", () => {
		const other = new StoreWriter("store-a").boot(may).run({ tank: "starboard", litres: 90 });
		expect(due(other, [uplift(may, "port", 50)])).toMatchObject({ status: "now" });
		expect(codes(due(other, [sample(may, "port", "clear")]))).toEqual(["never"]);
		const working = new StoreWriter("store-a")
			.boot(may)
			.run({ tank: "port", litres: 9, isUnderWay: true });
		expect(due(working).status).toBe("under-way");
	});

	it("7 days after an uplift, until three turnovers have been through the filter", () => {
		const bought = due(polished(), [uplift(may + DAY, "port", 50)]);
		expect(codes(bought)).toEqual(["uplift", "standing"]);
		// 4 May and 7 days.
		expect(day(bought.latestUtcMs)).toBe("2026-05-11");
		expect(bought.reasons[0]).toMatchObject({ turnovers: 0, days: 7 });
		expect(codes(due(polished(), [uplift(may - DAY, "port", 50)]))).toEqual(["standing"]);
		expect(codes(due(polished(), [uplift(may + DAY, "starboard", 50)]))).toEqual(["standing"]);
	});

	it("7 days after water stopped a run, until a sample of the tank looks clear", () => {
		const wet = due(stopped());
		expect(codes(wet)).toEqual(["water", "standing"]);
		expect(day(wet.latestUtcMs)).toBe("2026-05-10");
		const after = (looked: "clear" | "hazy", from: "bowl" | "after-24h") =>
			codes(due(stopped(), [sample(may + 2 * DAY, "port", looked, from)]));
		expect(after("clear", "after-24h")).toEqual(["standing"]);
		expect(after("clear", "bowl")).toEqual(["water", "standing"]);
		expect(after("hazy", "after-24h")).toEqual(["sample", "water", "standing"]);
		expect(codes(due(stopped(), [sample(may - DAY, "port", "clear")]))).toContain("water");
	});

	it("at once after a sample that was not clear: to polish, then to sample", () => {
		const dirty = due(polished(), [sample(may + DAY, "port", "dirt")]);
		expect(dirty).toMatchObject({ status: "now", what: "polish" });
		expect(dirty.reasons[0]).toMatchObject({ code: "sample", looked: "dirt", turnovers: 0 });
		const since = due(polished(), [sample(may - DAY, "port", "water")]);
		expect(since).toMatchObject({ status: "now", what: "sample" });
		const clear = [sample(may - DAY, "port", "water"), sample(may + DAY, "port", "clear")];
		expect(due(polished(), clear).status).toBe("later");
	});

	it("3 days after a dose, until it has been run", () => {
		const dose = (atUtcMs: number) =>
			noted("dose", atUtcMs, { tank: "port", product: "biocide", doseMl: 60 });
		const dosed = due(polished(), [dose(may + DAY)]);
		expect(codes(dosed)).toEqual(["dose", "standing"]);
		expect(day(dosed.latestUtcMs)).toBe("2026-05-07");
		expect(codes(due(polished(), [dose(may - DAY)]))).toEqual(["standing"]);
	});

	it("by other limits where they are given", () => {
		const limits = { ...SEASON_LIMITS, standingDaysMax: 90 };
		const found = nextDue(rigOf([polished()]), "port", limits, may);
		expect(day(found.latestUtcMs)).toBe("2026-08-01");
	});
});

describe("where dates are unsure", () => {
	/** Undated, between two boots that are dated. */
	const between = (before: number, after: number, litres = 900) =>
		new StoreWriter("store-a")
			.boot(before)
			.boot(null)
			.run({ tank: "port", litres })
			.boot(after)
			.write({ kind: "disarmed", why: "drawn" });

	it("the time is an interval: maybe now, surely later, surely now", () => {
		const store = () => between(may - 40 * DAY, may);
		const found = due(store(), [], may);
		expect(found.status).toBe("maybe");
		// 24 March, 18:00, and 30 days; 3 May and 30 days.
		expect([day(found.earliestUtcMs), day(found.latestUtcMs)]).toEqual([
			"2026-04-23",
			"2026-06-02",
		]);
		expect(due(store(), [], may - 20 * DAY).status).toBe("later");
		expect(due(store(), [], may + 31 * DAY).status).toBe("now");
	});

	it("nothing bounds it: there is no earliest, or no latest", () => {
		const alone = new StoreWriter("store-a").boot(null).run({ tank: "port", litres: 900 });
		expect(due(alone)).toMatchObject({ status: "maybe", earliestUtcMs: null, latestUtcMs: null });
	});

	it("what may have settled a reason leaves it as a maybe: the earliest alone moves", () => {
		const bought = due(between(may - 2 * DAY, may), [uplift(may - DAY, "port", 50)], may);
		expect(bought.reasons[0]).toMatchObject({ code: "uplift", isSure: false, turnoversMaybe: 3 });
		expect([day(bought.earliestUtcMs), day(bought.latestUtcMs)]).toEqual([
			"2026-05-09",
			"2026-06-02",
		]);
		// A third of a turnover that may have come since is not enough in any case.
		const less = due(between(may - 2 * DAY, may, 100), [uplift(may - DAY, "port", 50)], may);
		expect(less.reasons[0]).toMatchObject({ code: "uplift", isSure: true });
		expect(day(less.latestUtcMs)).toBe("2026-05-09");
	});
});
