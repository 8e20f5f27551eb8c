// What a person may order, as schemas: the link, the scenario files and the rig file's weekly plans
// all use these. Checked here once; orders.ts makes orders of them and says what stands against
// one. Pure.

import * as z from "zod";

const tank = (words: string) => z.string().min(1).max(40).describe(words);
const litres = (words: string) => z.number().positive().max(100_000).describe(words);
const attended = z
	.boolean()
	.default(false)
	.describe("a person stays at the rig for the whole order");

/** The goals of a polish; one of them, not two and not none. */
const goals = ["turnovers", "litres", "hours", "targetDilution"] as const;

export const polishSchema = z
	.strictObject({
		tank: tank("name of the tank, as in the rig file"),
		turnovers: z.number().positive().max(50).optional().describe("times the tank's fuel"),
		litres: litres("goal in litres").optional(),
		hours: z.number().positive().max(200).optional().describe("goal in hours of pumping"),
		targetDilution: z
			.number()
			.min(0.001)
			.max(0.9)
			.optional()
			.describe("share of the dirt that shall be left by estimate; only a sample says clean"),
		dipLitres: litres(
			"what the dip stick showed, L; a turnover is of this, else of the full tank",
		).optional(),
		sweepFirst: z
			.boolean()
			.optional()
			.describe("bursts and stands until they bring no water; left out: where nobody attends"),
		attended,
	})
	.refine((polish) => goals.filter((goal) => polish[goal] !== undefined).length === 1, {
		message: `one of ${goals.slice(0, -1).join(", ")} or ${goals.at(-1)}`,
	});

export const transferSchema = z.strictObject({
	from: tank("tank that the tube stands in"),
	to: tank("tank that the return hangs in"),
	litres: litres("goal in litres; left out: up to fillToPct").optional(),
	fillToPct: z
		.number()
		.min(5)
		.max(96)
		.optional()
		.describe("level at which it ends, % of that tank; left out: 2 under its ullage line"),
	fromDipLitres: litres("what the dip stick showed where the tube stands, L").optional(),
	toDipLitres: z
		.number()
		.min(0)
		.max(100_000)
		.optional()
		.describe("what it showed where the return hangs, L"),
	attended,
});

export const sweepSchema = z.strictObject({
	tank: tank("name of the tank, as in the rig file"),
	dryBursts: z
		.int()
		.min(2)
		.max(50)
		.optional()
		.describe("ends after so many without water; left out: what line and bowl hide, and one more"),
	standSeconds: z
		.number()
		.min(20)
		.max(86_400)
		.default(20)
		.describe("how long the bowl stands after each burst, s"),
	attended,
});

export type Polish = Readonly<z.infer<typeof polishSchema>>;
export type Transfer = Readonly<z.infer<typeof transferSchema>>;
export type Sweep = Readonly<z.infer<typeof sweepSchema>>;

/** One piece of work. */
export const workSchema = z.union([
	z.strictObject({ polish: polishSchema }),
	z.strictObject({ transfer: transferSchema }),
	z.strictObject({ sweep: sweepSchema }),
]);

export type Work = Readonly<z.infer<typeof workSchema>>;
