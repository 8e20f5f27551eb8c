// What `lees report --json` prints and `/api/season` answers, as a schema: names, units and what
// null means. Every uncertainty is expanded, k = 2; forecasts are intervals of 80 %. Times are Unix
// times, ms; months and days are those of `timeZone`. Imports zod and other answers' schemas.

import * as z from "zod";
import { tripCodes } from "../../firmware/cycle/trips.ts";
import { elementAnswer, readyAnswer, whenSchema } from "../archive/answers.ts";
import { bounds, lookedSchema, nextDueSchema, sampleFromSchema } from "../archive/due-schema.ts";

/** Moved, and how far that may be off. */
const moved = {
	runs: z.int(),
	motorHours: z.number(),
	motorHoursUncertainty: z.number(),
	litres: z.number().describe("by the meter; estimated where it is not calibrated"),
	litresUncertainty: z.number(),
	litresByHours: z.nullable(z.number()).describe("estimated: hours times the pump's rate"),
	litresByHoursUncertainty: z.nullable(z.number()),
};

const counts = {
	waterMl: z.number().describe("drained, as it was told"),
	drains: z.int(),
	uplifts: z.int(),
	upliftLitres: z.number().describe("bought, as it was noted"),
	doses: z.int(),
	samples: z.int(),
	trips: z.int(),
};

const turnovers = {
	turnovers: z.number().describe("of polish orders; the tank's content is taken as ordered"),
	turnoversUncertainty: z.number(),
};

export const tankSeason = z.strictObject({
	tank: z.string(),
	...moved,
	...turnovers,
	...counts,
	lastSample: z.nullable(
		z.strictObject({
			atUtcMs: z.int(),
			from: z.string(),
			looked: lookedSchema,
			iso4406: z.nullable(z.string()),
		}),
	),
	due: nextDueSchema,
});

export const monthSeason = z.strictObject({
	month: z.nullable(z.string()).describe("as 2026-11; null: not dated, in no month"),
	between: z
		.nullable(z.strictObject(bounds))
		.describe("between what that lies which is in no month; null for a month"),
	tank: z.nullable(z.string()).describe("null: of no tank that is known"),
	...moved,
	...turnovers,
	...counts,
});

export const elementSeason = z.strictObject({
	micron: z.nullable(z.number()).describe("null: in since before any change was noted"),
	fromUtcMs: z.nullable(z.int()),
	toUtcMs: z.nullable(z.int()).describe("null: in use"),
	...moved,
	cleanKpa: z.nullable(z.number()).describe("null: nothing is told of its restriction"),
	changeAtKpa: z.nullable(z.number()),
	kpa: z.nullable(z.number()).describe("told last, at free flow and 15 °C"),
	trend: z.array(
		z.strictObject({
			began: whenSchema,
			tank: z.string(),
			litres: z.number().describe("since its change, at the end of the run"),
			kpa: z.number(),
		}),
	),
});

export const tripSeason = z.strictObject({
	code: z.enum(tripCodes),
	tank: z.nullable(z.string()).describe("null: in no order"),
	when: whenSchema,
});

/** What people have noted, one line of a list. */
export const entrySeason = z.strictObject({
	atUtcMs: z.int(),
	kind: z.enum(["uplift", "dose", "sample", "element-change", "waste"]),
	tank: z.nullable(z.string()),
	litres: z.nullable(z.number()),
	ml: z.nullable(z.number()),
	micron: z.nullable(z.number()),
	sample: z.nullable(
		z.strictObject({
			from: sampleFromSchema,
			looked: lookedSchema,
			isClearAndBright: z.boolean().describe("judged so by the procedure of ASTM D4176"),
			iso4406: z.nullable(z.string()),
		}),
	),
	waste: z.nullable(
		z.strictObject({
			container: z.string(),
			place: z.nullable(z.string()).describe("where it was handed in; null: it stands aboard"),
			receipt: z.nullable(z.string()).describe("null: none was noted"),
		}),
	),
	/** Product, label, place, batch or remark, as it was typed. */
	words: z.array(z.string()),
	by: z.nullable(z.string()),
});

export const seasonAnswer = z.strictObject({
	rig: z.string(),
	isInvented: z.boolean().describe("drawn or played, and of no rig that is"),
	atUtcMs: z.int().describe("when this was made out"),
	timeZone: z.string().describe("as Europe/Paris: of months and days"),
	firstUtcMs: z.nullable(z.int()).describe("of what is dated"),
	lastUtcMs: z.nullable(z.int()),
	isCalibrated: z.boolean().describe("every meter that counted was"),
	...moved,
	...counts,
	undatedRuns: z.int(),
	quarrels: z.int().describe("clocks that contradict each other"),
	notedTwice: z.int().describe("drains that were told and noted, and count once"),
	tanks: z.array(tankSeason),
	months: z.array(monthSeason).describe("by month, then tank; what is in no month comes last"),
	elements: z.array(elementSeason).describe("first to last; the last is in use"),
	forecast: elementAnswer.shape.forecast,
	forecastTank: z.nullable(z.string()).describe("with which the litres are reckoned"),
	tripList: z.array(tripSeason),
	proofs: z
		.array(
			z.strictObject({
				step: z.string(),
				title: z.string(),
				passed: z.boolean(),
				when: whenSchema,
				everyDays: z.nullable(z.int()).describe("due again after; null: only after a change"),
				due: z.nullable(z.string()).describe("why, as far as the log tells; null: it holds"),
			}),
		)
		.describe("steps of commissioning that the newest log tells of, each as it was done last"),
	entries: z.array(entrySeason),
	ready: readyAnswer,
	limits: z.record(z.string(), z.number()).describe("of next due and of the check"),
});

export type SeasonAnswer = z.infer<typeof seasonAnswer>;
export type TankSeason = z.infer<typeof tankSeason>;
export type MonthSeason = z.infer<typeof monthSeason>;
export type ElementSeason = z.infer<typeof elementSeason>;
export type EntrySeason = z.infer<typeof entrySeason>;
