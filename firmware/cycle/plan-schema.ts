// Work that begins by itself, as schemas: once at a date, or weekly from the rig file. What a plan
// waits for is in ../schedule.ts. A plan arms nothing: a person does that at the rig. Pure.

import * as z from "zod";
import { localDateTimeSchema, timeOfDaySchema, weekdays } from "../local-time.ts";
import { workSchema } from "./order-schemas.ts";

const conditions = {
	windowHours: z
		.number()
		.min(0.25)
		.max(24)
		.default(6)
		.describe("how long it may wait for its conditions; then it is missed, h"),
	onCharge: z
		.boolean()
		.default(false)
		.describe("only while the battery is being charged: shore power or sun"),
	batteryVoltsMin: z
		.number()
		.min(11.5)
		.max(13.5)
		.optional()
		.describe("only above this, V at rest of a battery of 12 V"),
	work: workSchema.describe("what begins then"),
};

/** Once. */
export const planSchema = z.strictObject({
	at: localDateTimeSchema.describe("local time, as 2026-11-29T10:00"),
	...conditions,
});

export type Plan = Readonly<z.infer<typeof planSchema>>;

const weeklySchema = z.strictObject({
	name: z.string().regex(/^[a-z][a-z0-9-]{0,19}$/, "at most 20 small letters, digits and dashes"),
	day: z.enum(weekdays),
	at: timeOfDaySchema.describe("local time of day, as 10:00"),
	...conditions,
});

/** The rig file's block. */
export const scheduleSchema = z
	.strictObject({
		quietHours: z
			.strictObject({ from: timeOfDaySchema, to: timeOfDaySchema })
			.optional()
			.describe("local time in which nothing pumps that nobody attends"),
		weekly: z.array(weeklySchema).max(14).default([]),
	})
	.prefault({});
