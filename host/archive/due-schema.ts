// When a tank is next due, as JSON: names, units and what null means. Times are Unix times, ms.
// Imports zod.

import * as z from "zod";

/** Of a time that is not known better. */
export const bounds = {
	earliestUtcMs: z.nullable(z.int()).describe("null: nothing bounds it"),
	latestUtcMs: z.nullable(z.int()).describe("null: nothing bounds it"),
};

/** As a sample's note has them; repeated here since a browser cannot load the book of notes. */
export const lookedSchema = z.enum(["clear", "hazy", "water", "dirt"]);

export const sampleFromSchema = z.enum(["after-24h", "bowl", "tank-bottom"]);

export const nextDueSchema = z.strictObject({
	tank: z.string(),
	status: z
		.enum(["now", "maybe", "later", "under-way"])
		.describe("maybe: the dates are too unsure to tell"),
	what: z.enum(["polish", "sample"]),
	...bounds,
	reasons: z
		.array(
			z.strictObject({
				code: z.enum(["never", "standing", "uplift", "water", "sample", "dose"]),
				what: z.enum(["polish", "sample"]),
				isSure: z.boolean().describe("what would settle it is surely missing"),
				cause: z.nullable(z.strictObject(bounds)).describe("when that happened"),
				days: z.number().describe("from its cause on"),
				looked: z.nullable(lookedSchema),
				turnovers: z.nullable(z.number()).describe("since then"),
				turnoversMaybe: z.nullable(z.number()).describe("more, before it or after"),
				due: z.strictObject(bounds),
			}),
		)
		.describe("the first to fall due comes first"),
});

export type NextDue = z.infer<typeof nextDueSchema>;
