// What `lees replay --json` prints, as schemas: names, units and what null means. Times are seconds
// since the boot that they belong to. Imports zod and the kept run's schemas.

import * as z from "zod";
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
	recordedBy: z.nullable(logicSchema).describe("null: no version is known of it"),
	replayedBy: logicSchema,
	set: z.record(z.string(), z.number()).describe("setpoints that were changed"),
	rigFile: z.nullable(z.string()).describe("in place of the rig that was kept; null: none"),
	ticks: z.int(),
	simulatedSeconds: z.number(),
	wallSeconds: z.number(),
	/** What today's logic writes down of it. */
	account: z.array(line),
};
const trip = z.strictObject({
	code: z.string(),
	atSeconds: z.number(),
	isTellable: z.boolean().describe("whether samples can tell a trip of that code"),
});

/** Of a run, that of which tick inputs were kept. */
const span = z.strictObject({
	run: z.int().describe("number of the record that began it"),
	runSeconds: z.number().describe("from its first record to its last"),
	decidedSeconds: z.number(),
	gaps: z.int().describe("stretches of the run of which no tick inputs are left"),
});

export const replayAnswer = z.discriminatedUnion("kind", [
	z.strictObject({
		kind: z.literal("exact"),
		...told,
		isIdentical: z.boolean(),
		difference: z.nullable(differenceAnswer),
		lacksSamples: z.boolean().describe("the log had let samples go: those were not compared"),
		span: z.nullable(span).describe("null: what was named is a file or a window, not a run"),
		hungAt: z
			.nullable(z.strictObject({ boot: z.int(), atSeconds: z.number() }))
			.describe("today's logic hung there: the ticks after it were not decided; null: none left"),
	}),
	z.strictObject({
		kind: z.literal("approximate"),
		...told,
		hasSameTrip: z.boolean(),
		tripThen: z.nullable(trip).describe("the log's first; null: none"),
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
export type Span = z.infer<typeof span>;
export type DifferenceAnswer = z.infer<typeof differenceAnswer>;
