// What people note beside the rig's own records: fuel bought, doses, samples, elements, water
// drained, waste, pick-up spots, the engine. The one owner of their schemas. A note is never
// rewritten: what later versions ask for beside is null in older ones. Imports zod.

import * as z from "zod";
import { tankSchema } from "../../firmware/config/rig-parts.ts";

const line = z.string().trim().min(1).max(200);
const tank = tankSchema.shape.name;
const ml = z.number().min(0).max(1_000_000);

const head = {
	id: z
		.string()
		.regex(/^[A-Za-z0-9-]{1,64}$/, "at most 64 letters, digits and dashes")
		.describe("the same id twice is one note"),
	rig: line,
	atUtcMs: z.int().min(0).describe("when it happened, Unix time, ms"),
	by: z.nullable(z.string().trim().min(1).max(8)).describe("initials"),
	text: z.nullable(z.string().trim().min(1).max(2_000)),
};

const spot = z.string().regex(/^[a-z][a-z0-9-]{0,39}$/, "at most 40 small letters, digits, dashes");
const spots = z
	.array(spot)
	.min(1)
	.max(40)
	.refine((names) => new Set(names).size === names.length, "each spot once");

export const sampleKinds = ["after-24h", "bowl", "tank-bottom"] as const;
export const looks = ["clear", "hazy", "water", "dirt"] as const;

export const noteSchema = z.discriminatedUnion("kind", [
	z.strictObject({
		...head,
		kind: z.literal("uplift"),
		tank,
		litres: z.number().positive().max(100_000),
		place: z.nullable(line),
		batch: z.nullable(line),
	}),
	z.strictObject({
		...head,
		kind: z.literal("dose"),
		tank,
		product: line.describe("what kind of additive, as its label names it"),
		doseMl: ml,
		label: z
			.nullable(line)
			.default(null)
			.describe("the dose as the maker's label states it: the authority for it"),
	}),
	z
		.strictObject({
			...head,
			kind: z.literal("sample"),
			tank,
			from: z.enum(sampleKinds),
			looked: z.enum(looks),
			iso4406: z.nullable(
				z.string().regex(/^\d{1,2}\/\d{1,2}\/\d{1,2}$/, "three numbers such as 18/16/13"),
			),
			clearAndBright: z
				.nullable(z.boolean())
				.default(null)
				.describe("by the visual procedure of ASTM D4176; null: not judged by it"),
		})
		.refine(({ clearAndBright, looked }) => clearAndBright !== true || looked === "clear", {
			path: ["clearAndBright"],
			message: "no, where it looked hazy or showed water or dirt",
		})
		.refine(({ clearAndBright, looked }) => clearAndBright !== false || looked !== "clear", {
			path: ["looked"],
			message: "hazy, water or dirt, where it was not clear and bright",
		}),
	z.strictObject({
		...head,
		kind: z.literal("element-change"),
		micron: z.number().min(1).max(100),
		storeId: z.nullable(z.string()),
		/** The new element has seen nothing up to this record. */
		afterSeq: z.int().min(0),
	}),
	z.strictObject({
		...head,
		kind: z.literal("drained"),
		drainedMl: ml,
		tank: z.nullable(tank).default(null).describe("whose fuel it came from"),
		container: z.nullable(line).default(null).describe("into which it went"),
	}),
	z.strictObject({ ...head, kind: z.literal("spare-elements"), count: z.int().min(0).max(1_000) }),
	z.strictObject({
		...head,
		kind: z.literal("waste"),
		wasteMl: ml,
		container: line,
		/** Null while it stands aboard. */
		place: z.nullable(line),
		receipt: z.nullable(line),
	}),
	z.strictObject({
		...head,
		kind: z.literal("spot-map"),
		tank,
		spots: spots.describe("where the tube reaches the floor: what is to be done in a sweep"),
	}),
	z.strictObject({
		...head,
		kind: z.literal("spots"),
		tank,
		spots: spots.describe("done"),
		storeId: z.nullable(z.string()),
		run: z.nullable(z.int().min(1)).describe("first record of the run in which; null: not said"),
	}),
	z.strictObject({
		...head,
		kind: z.literal("engine"),
		standsSinceUtcMs: z.int().min(0).describe("it has not run since then, Unix time, ms"),
	}),
]);

export type Note = Readonly<z.infer<typeof noteSchema>>;
export type NoteKind = Note["kind"];
export type NoteOf<K extends NoteKind> = Extract<Note, { kind: K }>;

export const noteKinds: readonly NoteKind[] = noteSchema.options.flatMap(({ shape }) => [
	...shape.kind.values,
]);

/** The tank that it is about, where there is one. */
export const tankOf = (note: Note): string | null => ("tank" in note ? note.tank : null);

/** A note as the book has it. */
export interface KeptNote {
	readonly note: Note;
	/** Null while it counts. */
	readonly struckUtcMs: number | null;
}

/**
 * Visual inspection of a sample, after procedure 1 of ASTM D4176, free water and particulate
 * contamination in distillate fuels (from memory).
 */
export const CLEAR_AND_BRIGHT =
	"Clear and bright, by the visual procedure of ASTM D4176: about a litre in a clean jar of " +
	"clear glass, at the fuel's own temperature, swirled and held to the light: no haze, and " +
	"neither water nor dirt under the whirl.";
