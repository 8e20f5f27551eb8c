// What `lees replay --json` prints, as schemas: names, units and what null means. Times are seconds
// since the boot that they belong to. Imports zod and the kept run's schemas.

import { z } from "zod";
import { logicSchema } from "../../firmware/log/kept-run.ts";

const quantity = z.union([z.number(), z.string()]).describe("a word says why there is no number");

export const differenceAnswer = z.strictObject({
	boot: z.int(),
	tick: z.int().describe("in its stretch; -1 is the boot itself"),
	atSeconds: z.number(),
	outputs: z.array(z.strictObject({ output: z.string(), was: z.boolean(), now: z.boolean() })),
	records: z.array(
		z.strictObject({
			was: z.nullable(z.string()).describe("kind; null: none was written"),
			now: z.nullable(z.string()),
			fields: z.array(z.strictObject({ field: z.string(), was: z.unknown(), now: z.unknown() })),
		}),
	),
	hung: z.nullable(z.enum(["was", "now"])).describe("which of them never ended the tick"),
	readings: z.array(
		z.strictObject({ atSeconds: z.number(), sensed: z.record(z.string(), quantity) }),
	),
});

const line = z.strictObject({
	boot: z.int(),
	atSeconds: z.number(),
	what: z.string(),
	why: z.string(),
});

const told = {
	run: z.string(),
	recordedBy: z.nullable(logicSchema).describe("null: an older program, which did not say"),
	replayedBy: logicSchema,
	set: z.record(z.string(), z.number()).describe("setpoints that were changed"),
	ticks: z.int(),
	simulatedSeconds: z.number(),
	wallSeconds: z.number(),
	/** What today's logic writes down of it. */
	account: z.array(line),
};
const trip = z.strictObject({ code: z.string(), atSeconds: z.number() });

export const replayAnswer = z.discriminatedUnion("kind", [
	z.strictObject({
		kind: z.literal("exact"),
		...told,
		isIdentical: z.boolean(),
		difference: z.nullable(differenceAnswer),
		lacksSamples: z.boolean().describe("the log had let samples go: those were not compared"),
	}),
	z.strictObject({
		kind: z.literal("approximate"),
		...told,
		hasSameTrip: z.boolean(),
		tripThen: z.nullable(trip).describe("the first that samples can tell; null: none"),
		tripNow: z.nullable(trip),
		outOfStepSeconds: z
			.nullable(z.number())
			.describe("from then on today's logic pumps where the log has no samples; null: never"),
		assumed: z.array(z.string()),
	}),
]);

export type ReplayAnswer = z.infer<typeof replayAnswer>;
export type ExactAnswer = Extract<ReplayAnswer, { kind: "exact" }>;
export type ApproximateAnswer = Extract<ReplayAnswer, { kind: "approximate" }>;
export type DifferenceAnswer = z.infer<typeof differenceAnswer>;
