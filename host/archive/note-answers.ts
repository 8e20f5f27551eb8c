// What notes add up to, as schemas: what `lees note list`, `map` and `ledger` print with `--json`,
// and what the logbook page is given. Imports zod and the schemas of notes and answers.

import * as z from "zod";
import { pastElementAnswer, runAnswer } from "./answers.ts";
import { noteSchema } from "./note.ts";

const ml = z.number().describe("mL");

export const wasteLedgerAnswer = z.strictObject({
	drainedMl: ml.describe("mL, by the box's records and by notes"),
	containedMl: ml.describe("mL, put into containers, by notes"),
	handedMl: ml,
	aboardMl: ml,
	looseMl: ml.describe("of that, what nobody told a container of, mL"),
	containers: z.array(
		z.strictObject({
			container: z.string(),
			filledMl: ml,
			handedMl: ml,
			aboardMl: ml.describe("mL, never below nought, whatever was noted"),
		}),
	),
	handed: z
		.array(
			z.strictObject({
				id: z.string(),
				atUtcMs: z.int(),
				wasteMl: ml,
				container: z.string(),
				place: z.string(),
				receipt: z.nullable(z.string()).describe("null: none was noted"),
			}),
		)
		.describe("what a licensed facility took"),
});

export const spotMapAnswer = z.strictObject({
	tank: z.string(),
	spots: z.array(
		z.strictObject({
			spot: z.string(),
			doneUtcMs: z.nullable(z.int()).describe("Unix time, ms; null: never, by the notes"),
			storeId: z.nullable(z.string()),
			run: z.nullable(z.int()).describe("first record of the run; null: not said"),
			isDone: z.boolean().describe("since fuel was last bought for the tank"),
		}),
	),
});

export const photoHead = z.strictObject({
	note: z.string().describe("its id"),
	kind: z.enum(["jpeg", "png", "webp", "heic"]),
	sha256: z.string(),
	byteCount: z.int(),
});

export const listedNote = z.strictObject({
	note: noteSchema,
	struckUtcMs: z.nullable(z.int()).describe("null while it counts"),
	photo: z.nullable(photoHead),
});

export const notesAnswer = z.strictObject({
	rig: z.nullable(z.string()).describe("null: of none that is known yet"),
	rigs: z.array(z.string()).describe("all that the archive knows"),
	tanks: z.array(z.string()).describe("of which runs and notes tell"),
	notes: z.array(listedNote).describe("in the order in which things happened, struck ones too"),
	ledger: wasteLedgerAnswer,
	spots: z.array(spotMapAnswer),
	elements: z.array(pastElementAnswer),
	runs: z
		.array(runAnswer.pick({ run: true, work: true, tank: true, began: true, outcome: true }))
		.describe("the newest, newest first"),
});

type Read<S extends z.ZodType> = Readonly<z.infer<S>>;
export type WasteLedger = Read<typeof wasteLedgerAnswer>;
export type SpotMap = Read<typeof spotMapAnswer>;
export type Spot = SpotMap["spots"][number];
export type PhotoHead = Read<typeof photoHead>;
export type PhotoKind = PhotoHead["kind"];
export type ListedNote = Read<typeof listedNote>;
export type NotesAnswer = Read<typeof notesAnswer>;
