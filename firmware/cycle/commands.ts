// What may come over the link, as schemas. The box's own buttons are inputs of the board, not
// commands.

import * as z from "zod";
import { commissionCommands } from "../commission/schemas.ts";
import { clockSchema } from "../local-time.ts";
import { polishSchema, sweepSchema, transferSchema, type Work } from "./order-schemas.ts";
import { planSchema } from "./plan-schema.ts";

const id = z.string().min(1).max(64);

export const commandSchema = z.discriminatedUnion("type", [
	z.strictObject({ type: z.literal("polish"), id, polish: polishSchema }),
	z.strictObject({ type: z.literal("transfer"), id, transfer: transferSchema }),
	z.strictObject({ type: z.literal("sweep"), id, sweep: sweepSchema }),
	z.strictObject({ type: z.literal("plan"), id, plan: planSchema }),
	z.strictObject({ type: z.literal("cancel-plan"), id, planId: id }),
	z.strictObject({ type: z.literal("set-clock"), id, clock: clockSchema }),
	z.strictObject({ type: z.literal("stop"), id }),
	z.strictObject({ type: z.literal("acknowledge"), id }),
	z.strictObject({ type: z.literal("note-drained"), id, waterMl: z.number().min(0).max(100_000) }),
	...commissionCommands,
]);

export type Command = Readonly<z.infer<typeof commandSchema>>;

/** The work that a command asks for, or null. */
export function workOf(command: Command): Work | null {
	switch (command.type) {
		case "polish":
			return { polish: command.polish };
		case "transfer":
			return { transfer: command.transfer };
		case "sweep":
			return { sweep: command.sweep };
		default:
			return null;
	}
}
