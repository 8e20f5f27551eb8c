// The dead-man's parts (hardware/dead-man/parts.yaml) as data: nominal values by their names in the
// netlist, and how far each may be off.

import { readFileSync } from "node:fs";
import { join } from "node:path";
import { parse } from "yaml";
import { z } from "zod";
import { root } from "../stories/world.ts";

export const folder = join(root, "hardware/dead-man");

const share = z.number().min(0).max(1);
const partSchema = z.strictObject({
	id: z.string(),
	in: z.string(),
	count: z.number().int().min(2).optional(),
	value: z.number().positive(),
	tolerance: z.strictObject({
		bought: share,
		ppmPerK: z.number().min(0),
		ages: share,
		overAll: share,
	}),
	rating: z.string(),
	does: z.string(),
});
const modelSchema = z.strictObject({
	in: z.string(),
	value: z.number(),
	least: z.number(),
	most: z.number(),
	does: z.string(),
});
const limitsSchema = z.strictObject({
	beatHz: z.number(),
	gapS: z.number(),
	releaseS: z.number(),
	closesWithinS: z.number(),
	closeVolts: z.number(),
	closeShare: z.number(),
	runTimerCounts: z.number(),
	runTimerMinutes: z.number(),
	runTimerLeast: z.number(),
	runTimerMost: z.number(),
	runMinutesMax: z.number(),
	pullInVolts: z.number(),
	dropOutShare: z.number(),
});
const fileSchema = z.strictObject({
	parts: z.array(partSchema),
	models: z.array(modelSchema),
	dropVolts: z.strictObject({ at27C: z.number(), atMinus10C: z.number(), at60C: z.number() }),
	limits: limitsSchema,
});

export const deadManParts = fileSchema.parse(
	parse(readFileSync(join(folder, "parts.yaml"), "utf8")),
);
export const { limits } = deadManParts;

/** Values by the netlist's names. */
export type Values = Readonly<Record<string, number>>;

/** The netlist knows the two pump capacitors apart: they need not be off the same way. */
const TWINS: Readonly<Record<string, readonly string[]>> = { c1: ["c1a", "c1b"] };
const namesOf = (name: string): readonly string[] => TWINS[name] ?? [name];

interface Spread {
	readonly value: number;
	readonly least: number;
	readonly most: number;
}

export const spreads: Readonly<Record<string, Spread>> = Object.fromEntries([
	...deadManParts.parts.flatMap(({ in: name, value, tolerance: { overAll } }) =>
		namesOf(name).map((one) => [
			one,
			{ value, least: value * (1 - overAll), most: value * (1 + overAll) },
		]),
	),
	...deadManParts.models.map(({ in: name, value, least, most }) => [name, { value, least, most }]),
]);

export function spreadOf(name: string): Spread {
	const spread = spreads[name];
	if (spread === undefined) throw new Error(`parts.yaml has no ${name}`);
	return spread;
}

export const nominal: Values = Object.fromEntries(
	Object.entries(spreads).map(([name, { value }]) => [name, value]),
);

export const nominalOf = (name: string): number => spreadOf(name).value;
/** The named parts at their smallest, or at their largest. */
export const least = (...names: string[]): Values =>
	Object.fromEntries(names.map((name) => [name, spreadOf(name).least]));
export const most = (...names: string[]): Values =>
	Object.fromEntries(names.map((name) => [name, spreadOf(name).most]));
