// The parts list as data: schema and reader of hardware/parts.yaml, held to the wiring. The page
// made from it is parts-page.ts. Pure.

import * as z from "zod";
import { readDocument } from "../../firmware/config/document.ts";
import { InputError, type Problem } from "../../firmware/config/input-error.ts";
import type { WiringFile } from "./netlist.ts";

const words = z.string().min(3).max(300);
const id = z.string().regex(/^[a-z][a-z0-9-]*$/);

const rowSchema = z
	.strictObject({
		function: words,
		group: id,
		wired: z.array(id).min(1).optional().describe("parts of the wiring; they are its quantity"),
		quantity: z.union([z.int().min(1), words]).optional(),
		rating: words,
		maySwap: words,
		mayNot: words,
		ignition: z.literal(true).optional().describe("makes sparks or heat"),
	})
	.refine(({ wired, quantity }) => (wired === undefined) !== (quantity === undefined), {
		message: "wired or quantity",
	});

const partsSchema = z.strictObject({
	invented: z.literal(true),
	groups: z.record(id, words),
	rows: z.array(rowSchema).min(1),
});

export type PartsFile = Readonly<z.infer<typeof partsSchema>>;
export type PartsRow = PartsFile["rows"][number];

/**
 * Reads and checks the parts list: every part of the wiring in one row, no part that is not wired.
 * @throws InputError naming file, line, column, key, what was found and what is allowed
 */
export function readParts(text: string, file: string, { parts, plugs }: WiringFile): PartsFile {
	const wirable = { ...parts, ...plugs };
	const { value, problem } = readDocument(text, file, partsSchema);
	const problems: Problem[] = [];
	const seen = new Set<string>();
	for (const [i, { group, wired = [] }] of value.rows.entries()) {
		if (!(group in value.groups)) problems.push(problem(["rows", i, "group"], "a group above"));
		for (const [j, part] of wired.entries()) {
			const path = ["rows", i, "wired", j];
			if (!(part in wirable)) problems.push(problem(path, "a part or plug of wiring.yaml"));
			if (seen.has(part)) problems.push(problem(path, "a part that no other row has"));
			seen.add(part);
		}
	}
	for (const part of Object.keys(wirable)) {
		if (!seen.has(part)) problems.push({ file, found: `no row for ${part}`, allowed: "one row" });
	}
	if (problems.length > 0) throw new InputError(problems);
	return value;
}
