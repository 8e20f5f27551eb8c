// What commissioning says over the link and writes into the log, as zod schemas: commands, records
// and answers. commands.ts, record.ts and protocol.ts take them from here. Pure.

import * as z from "zod";
import { type Part, parts } from "./parts.ts";
import { type Step, steps } from "./step-ways.ts";
import { INITIALS_MAX, TEXT_MAX, WHY_MAX } from "./steps.ts";

const id = z.string().min(1).max(64);
const step = z.enum(steps as [Step, ...Step[]]);
const part = z.enum(parts as [Part, ...Part[]]);
/** A dozen at most, so that an answer fits a frame. */
const named = z
	.record(z.string().min(1).max(24), z.union([z.number(), z.string().max(TEXT_MAX)]))
	.refine((values) => Object.keys(values).length <= 12, "at most 12 values");
const initials = z.string().min(1).max(INITIALS_MAX).describe("initials of the person at the rig");
const why = z.string().min(1).max(WHY_MAX);

/** Commands: each is decided by a record that carries its id. */
export const commissionCommands = [
	z.strictObject({ type: z.literal("prove-begin"), id, step, by: initials }),
	z.strictObject({ type: z.literal("prove-answer"), id, values: named }),
	z.strictObject({ type: z.literal("prove-end"), id }),
	z.strictObject({ type: z.literal("change-part"), id, part, by: initials }),
	z.strictObject({ type: z.literal("strike-fill"), id, fillSeq: z.int().min(1), why }),
] as const;

/** Local time as 2026-11-29T10:00; null where the controller did not know it. */
const localTime = z.nullable(z.string());

/** Records, without their heads. */
export const commissionRecords = {
	"proof-begun": { id: z.string(), step, by: z.string() },
	/** What the person typed, as it came. */
	"proof-answer": { id: z.string(), step, values: named },
	/** The evidence: passed or not, why not, and what was measured. */
	proof: {
		/** Of the command that began it. */
		id: z.string(),
		step,
		passed: z.boolean(),
		/** It says something of the rig: it passed, or failed; also by being given up too late. */
		counts: z.boolean(),
		reasons: z.array(z.string()),
		values: named,
		/** Marks of the parts that it proves (parts.ts), as a hash. */
		marks: z.string(),
		by: z.string(),
		localTime,
		/**
		 * Of the command that gave it up, or `patience`, `trip`, `order`, `restart`; null where it
		 * came to its end.
		 */
		endedBy: z.nullable(z.string()),
	},
	fill: {
		id: z.string(),
		pulses: z.int().min(0),
		litres: z.number().positive(),
		/** Standard uncertainty of the litres, L. */
		litresUncertainty: z.number().positive(),
		seconds: z.number().positive(),
		localTime,
	},
	"fill-struck": { id: z.string(), fillSeq: z.int().min(1), why: z.string() },
	"part-changed": { id: z.string(), part, by: z.string(), localTime },
	"proof-refused": { id: z.string(), reasons: z.array(z.string()) },
} as const;

/** Requests of the link: method and parameters. The first five hand on a command. */
export const commissionRequests = {
	"proof.begin": z.strictObject({ id, step, by: initials }),
	"proof.answer": z.strictObject({ id, values: named }),
	"proof.end": z.strictObject({ id }),
	"part.changed": z.strictObject({ id, part, by: initials }),
	"fill.strike": z.strictObject({ id, fillSeq: z.int().min(1), why }),
	"proof.list": z.strictObject({ from: z.int().min(0).describe("the first step wanted") }),
	"proof.now": z.strictObject({}),
	"fill.list": z.strictObject({}),
} as const;

/** What the step under way waits for. */
export const asks = [
	/** the box's button */
	"press",
	/** an attended order over the link */
	"order",
	/** something that the person does at the rig; the controller sees it */
	"act",
	/** values, by `proof.answer` */
	"answer",
	/** nothing: the controller is at it */
	"wait",
] as const;

/** Rows that one answer of `proof.list` holds. */
export const PROOF_ROWS_MAX = 6;
/** Fills that are kept and told, the newest: more would not fit an answer. */
export const FILLS_MAX = 7;

export const proofListResult = z.strictObject({
	rows: z.array(
		z.strictObject({
			step,
			due: z.nullable(z.string()).describe("why it is due; null while it holds"),
			passedAt: localTime.describe("when it last passed; null: never"),
		}),
	),
	total: z.int().describe("steps of this rig"),
	dueCount: z.int().describe("steps that are due"),
});

export const proofNowResult = z.strictObject({
	trial: z.nullable(
		z.strictObject({
			step,
			id: z.string().describe("of the command that began it"),
			asks: z.enum(asks),
			say: z.string().describe("what to do now, one sentence"),
			entries: z.array(z.string()).describe("names of the values that are asked for"),
			seen: named.describe("what is read or measured just now"),
			leftSeconds: z.int().describe("until it ends by itself"),
		}),
	),
	last: z
		.nullable(
			z.strictObject({
				step,
				passed: z.boolean(),
				reasons: z.array(z.string()),
				values: named,
			}),
		)
		.describe("the step that ended last in this boot; null while one is under way"),
});

export const fillListResult = z.strictObject({
	fills: z.array(
		z.strictObject({
			fillSeq: z.int(),
			pulses: z.int(),
			litres: z.number(),
			seconds: z.number(),
			perLitre: z.number().describe("pulses/L of this fill"),
			struck: z.boolean(),
			odd: z.boolean().describe("an outlier at 5 % by Grubbs' test"),
		}),
	),
	perLitre: z.nullable(z.number()).describe("mean factor, pulses/L; null before three fills"),
	uncertaintyPct: z.nullable(z.number()).describe("its standard uncertainty, %"),
	pumpLph: z.nullable(z.number()).describe("mean flow, L/h"),
	pumpPct: z.nullable(z.number()).describe("its standard uncertainty, %"),
});

export type ProofList = z.infer<typeof proofListResult>;
export type ProofNow = z.infer<typeof proofNowResult>;
export type FillList = z.infer<typeof fillListResult>;
