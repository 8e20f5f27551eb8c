// Reads a file of reference rows and says what is wrong with one. Each row is {id, topic, inputs,
// expected, tolerance, source, kind}, its topic beginning with the number of its group.

import { readFileSync } from "node:fs";
import * as z from "zod";

const amount = z.union([z.number().nonnegative(), z.boolean(), z.string()]);

const rowSchema = z.looseObject({
	id: z.string(),
	topic: z.string(),
	inputs: z.record(z.string(), z.unknown()),
	expected: z.record(z.string(), z.unknown()),
	tolerance: z.record(z.string(), z.union([amount, z.record(z.string(), amount)])).default({}),
	source: z.string(),
	kind: z.string(),
	from_memory_part: z.string().optional(),
});

export type Row = z.infer<typeof rowSchema>;

const rowsSchema = z.array(rowSchema).min(1);

/** A file of rows that cannot be used: what, where, found, allowed. */
export class BadRows extends Error {}

/** @throws BadRows when the file cannot be read, is no JSON or holds no rows */
export function readRows(file: string | URL): Row[] {
	const where = file instanceof URL ? file.pathname : file;
	let text: string;
	try {
		text = readFileSync(file, "utf8");
	} catch (error) {
		throw new BadRows(`${where}: cannot be read (${reason(error)}); give a JSON file of rows`);
	}
	let json: unknown;
	try {
		json = JSON.parse(text);
	} catch (error) {
		throw new BadRows(`${where}: no JSON (${reason(error)}); allowed is a JSON list of rows`);
	}
	const parsed = rowsSchema.safeParse(json);
	if (parsed.success) return parsed.data;
	const lines = parsed.error.issues.map((issue) => {
		const at = issue.path.map(String);
		return `${where}: ${placeOf(json, at)}found ${found(json, at)}; ${issue.message}`;
	});
	throw new BadRows(lines.join("\n"));
}

const reason = (error: unknown): string => (error instanceof Error ? error.message : String(error));

/** Value at a path into parsed JSON. */
function valueAt(json: unknown, path: readonly string[]): unknown {
	return path.reduce<unknown>(
		(value, key) =>
			typeof value === "object" && value !== null
				? (value as Record<string, unknown>)[key]
				: undefined,
		json,
	);
}

function found(json: unknown, path: readonly string[]): string {
	const value = valueAt(json, path);
	return value === undefined ? "nothing" : JSON.stringify(value).slice(0, 60);
}

function placeOf(json: unknown, [index, ...rest]: readonly string[]): string {
	if (index === undefined) return "";
	const id = valueAt(json, [index, "id"]);
	const name = typeof id === "string" ? ` (${id})` : "";
	return `row ${Number(index) + 1}${name}: ${rest.length > 0 ? `${rest.join(".")}: ` : ""}`;
}
