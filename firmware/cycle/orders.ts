// Orders from outside, checked by zod at the edge, and the rules by which one is refused. Pure;
// trusts its types once the schema has passed.

import { z } from "zod";
import type { Rig } from "../config/rig.ts";
import { armingGap } from "./arming.ts";
import type { Present } from "./events.ts";
import { waitsFor } from "./holds.ts";

const polishFields = {
	tank: z.string().min(1).max(40).describe("name of the tank, as in the rig file"),
	turnovers: z.number().positive().max(50).optional().describe("times the tank's fuel"),
	litres: z.number().positive().max(100_000).optional().describe("goal in litres"),
	dipLitres: z
		.number()
		.positive()
		.optional()
		.describe("what the dip stick showed, L; a turnover is of this, else of the full tank"),
	attended: z.boolean().default(false).describe("a person stays at the rig for the whole order"),
};

/** One goal, not both and not none. */
export const polishSchema = z
	.strictObject(polishFields)
	.refine((polish) => (polish.turnovers === undefined) !== (polish.litres === undefined), {
		message: "either turnovers or litres",
	});

export type Polish = Readonly<z.infer<typeof polishSchema>>;

export const commandSchema = z.discriminatedUnion("type", [
	z.strictObject({
		type: z.literal("polish"),
		id: z.string().min(1).max(64),
		polish: polishSchema,
	}),
	z.strictObject({ type: z.literal("stop"), id: z.string().min(1).max(64) }),
	z.strictObject({ type: z.literal("acknowledge"), id: z.string().min(1).max(64) }),
	z.strictObject({
		type: z.literal("note-drained"),
		id: z.string().min(1).max(64),
		waterMl: z.number().min(0).max(100_000),
	}),
]);

/** What may come over the link. The box's own buttons are inputs of the board, not commands. */
export type Command = Readonly<z.infer<typeof commandSchema>>;

/** An order as the statechart keeps it. */
export interface Order {
	readonly id: string;
	readonly tank: string;
	readonly goalLitres: number;
	readonly turnoverLitres: number;
	readonly attended: boolean;
}

/** The order that a polish command asks for; the tank's name has been checked. */
export function orderFrom(id: string, polish: Polish, rig: Rig): Order {
	const tank = rig.tanks.find((candidate) => candidate.name === polish.tank);
	const turnoverLitres = polish.dipLitres ?? tank?.volumeLitres ?? 0;
	const goalLitres = polish.litres ?? (polish.turnovers ?? 0) * turnoverLitres;
	return { id, tank: polish.tank, goalLitres, turnoverLitres, attended: polish.attended };
}

/** What stands against this polish order; empty when it may be taken. */
export function refusals(polish: Polish, rig: Rig, state: string, present: Present): string[] {
	const tank = rig.tanks.find((candidate) => candidate.name === polish.tank);
	const reasons: string[] = [];
	if (tank === undefined) {
		reasons.push(`no tank "${polish.tank}"; there are: ${rig.tanks.map((t) => t.name).join(", ")}`);
	} else if (polish.dipLitres !== undefined && polish.dipLitres > tank.volumeLitres) {
		reasons.push(`the dip of ${polish.dipLitres} L is more than the tank's ${tank.volumeLitres} L`);
	}
	if (state !== "idle") reasons.push(`the controller is ${state}`);
	return [
		...reasons,
		...permitBlockers(polish, present),
		...silentBlockers(polish, present),
		...startBlockers(present),
		...waitsFor(present.holds),
	];
}

/** What an order that nobody attends lacks of its permits; an attended one needs none. */
export function permitBlockers(
	{ attended, tank }: { attended: boolean; tank: string },
	permits: Pick<Present, "commissioned" | "arming" | "gaps">,
): string[] {
	if (attended) return [];
	const reasons = [...permits.gaps];
	if (!permits.commissioned) reasons.push("the rig is not commissioned");
	const gap = armingGap(permits.arming, tank);
	if (gap !== null) reasons.push(gap);
	return reasons;
}

/** Channels that an order which nobody attends must not be without. */
export function silentBlockers(
	{ attended }: { attended: boolean },
	{ unknownOptional }: Present,
): string[] {
	if (attended || unknownOptional.length === 0) return [];
	return [`unknown: ${unknownOptional.join(", ")}`];
}

/** What keeps any start from happening, whoever asked for it. */
export function startBlockers(present: Present): string[] {
	const reasons: string[] = [];
	if (present.stop !== "made") reasons.push("the stop button is not released");
	if (present.probe !== "dry") reasons.push(`the water probe reads ${present.probe}`);
	if (present.unknown.length > 0) reasons.push(`unknown: ${present.unknown.join(", ")}`);
	reasons.push(...present.blockers);
	if (present.logFailed) reasons.push("the log has failed");
	return reasons;
}
