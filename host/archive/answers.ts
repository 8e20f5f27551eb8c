// What `lees runs`, `totals`, `element` and `ready` print with `--json`, as schemas: names, units
// and what null means. Every uncertainty is expanded, k = 2. Imports zod and the names of notes.

import * as z from "zod";

/** Dated by a clock that somebody showed to the rig, or bounded by what was. Unix times, ms. */
export const whenSchema = z.union([
	z.strictObject({ utcMs: z.int(), uncertaintyMs: z.int() }),
	z.strictObject({ after: z.nullable(z.int()), before: z.nullable(z.int()) }),
]);

const moved = {
	motorHours: z.number(),
	motorHoursUncertainty: z.number(),
	litres: z.number().describe("by the meter"),
	litresUncertainty: z.number(),
	litresByHours: z.nullable(z.number()).describe("hours times the pump's rate; null: not known"),
	litresByHoursUncertainty: z.nullable(z.number()),
	differencePct: z.nullable(z.number()).describe("by hours against by meter"),
	isWithin: z.nullable(z.boolean()).describe("no further apart than k = 2 of both together"),
};

export const runAnswer = z.strictObject({
	rig: z.string(),
	storeId: z.string(),
	run: z.int().describe("number of its first record: names the run within its store"),
	boot: z.int(),
	bootMs: z.int().describe("when it began, since that boot"),
	began: whenSchema,
	ended: z.nullable(whenSchema).describe("null while it is under way"),
	work: z.enum(["polish", "sweep", "transfer"]),
	tank: z.string(),
	toTank: z.nullable(z.string()),
	goalLitres: z.nullable(z.number()),
	goalHours: z.nullable(z.number()),
	goalShare: z.nullable(z.number()),
	isAttended: z.boolean(),
	outcome: z.string(),
	trips: z.array(z.string()),
	...moved,
});

export const totalAnswer = z.strictObject({
	rig: z.string(),
	of: z.enum(["rig", "tank", "element", "no order"]),
	name: z.string().describe("of the tank; else the same as `of`"),
	runs: z.int(),
	...moved,
});

const interval = z.strictObject({
	low: z.nullable(z.number()),
	median: z.nullable(z.number()),
	high: z.nullable(z.number()),
});

export const elementAnswer = z.strictObject({
	rig: z.string(),
	micron: z.nullable(z.number()).describe("null: no change was noted"),
	changed: z.nullable(z.int()).describe("Unix time, ms; null: no change was noted"),
	runs: z.int(),
	...moved,
	restriction: z.nullable(
		z.strictObject({
			when: whenSchema,
			tank: z.string(),
			kpa: z.number().describe("at free flow and 15 °C"),
			cleanKpa: z.number(),
			changeAtKpa: z.number(),
			kpaPerLitre: z.number(),
			samples: z.int(),
		}),
	),
	trend: z.array(
		z.strictObject({
			run: z.int(),
			began: whenSchema,
			tank: z.string(),
			litres: z.number().describe("since the change, at the end of the run"),
			kpa: z.number(),
		}),
	),
	forecast: z.nullable(
		z.strictObject({
			grams: interval.describe("dirt that it still takes, 80 % interval"),
			litres: interval.describe("until then with this tank; null: never, with this tank"),
		}),
	),
});

/** `lees element --all`: one a row, first to last. */
export const pastElementAnswer = z.strictObject({
	rig: z.string(),
	micron: z.nullable(z.number()).describe("null: no change was noted"),
	changed: z.nullable(z.int()).describe("Unix time, ms; null: it was there when the log began"),
	until: z.nullable(z.int()).describe("Unix time, ms; null: it is in use"),
	runs: z.int().describe("one that was under way at a change counts for both"),
	...moved,
	lastKpa: z.nullable(z.number()).describe("at free flow and 15 °C; null: nothing was told"),
});

export const readyAnswer = z.strictObject({
	rig: z.string(),
	isReady: z.boolean(),
	atUtcMs: z.int(),
	checks: z.array(
		z.strictObject({
			check: z.enum([
				"turnovers",
				"standing",
				"sample",
				"stand-time",
				"element",
				"trips",
				"spares",
				"waste",
			]),
			tank: z.nullable(z.string()),
			status: z.enum(["held", "not", "unknown"]),
			why: z.string(),
		}),
	),
	cautions: z.array(z.string()),
});

export type RunAnswer = z.infer<typeof runAnswer>;
export type TotalAnswer = z.infer<typeof totalAnswer>;
export type ElementAnswer = z.infer<typeof elementAnswer>;
export type PastElementAnswer = z.infer<typeof pastElementAnswer>;
export type ReadyAnswer = z.infer<typeof readyAnswer>;
export type Check = ReadyAnswer["checks"][number];
export type Interval = z.infer<typeof interval>;
