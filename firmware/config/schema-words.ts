// Words for schema complaints: what was found, what would have been allowed, which key was
// meant. Pure; reads zod's own issue data and definitions.

import * as z from "zod";

/** A value in at most 60 characters, `nothing` when it is missing. */
export function show(value: unknown): string {
	if (value === undefined || value === null) return "nothing";
	const text = typeof value === "number" ? String(value) : JSON.stringify(value);
	return text.length > 60 ? `${text.slice(0, 57)}...` : text;
}

/** So many names are looked through for the one that was meant. */
const NAMES_SHOWN = 12;

/** What an issue of zod's would have let through. @param found what stands there, where known */
export function allowedAt(issue: z.core.$ZodIssue, found?: unknown): string {
	switch (issue.code) {
		case "invalid_type":
			return typeWords[issue.expected] ?? issue.expected;
		case "too_small":
			return `${sizeWords(issue.origin)}${issue.inclusive ? "at least" : "above"} ${issue.minimum}`;
		case "too_big":
			return `${sizeWords(issue.origin)}${issue.inclusive ? "at most" : "below"} ${issue.maximum}`;
		case "invalid_value": {
			const names = issue.values.map((value) => String(value));
			const isMany = names.length > NAMES_SHOWN && typeof found === "string";
			return isMany ? didYouMean(found, names) : names.join(", ");
		}
		case "invalid_union":
			return unionWords(issue);
		default:
			return issue.message;
	}
}

const typeWords: Record<string, string> = {
	number: "a number, without its unit (the key names the unit)",
	int: "a whole number, without its unit (the key names the unit)",
	string: "a text",
	boolean: "true or false",
	object: "a mapping",
	record: "a mapping",
	array: "a list",
};

function sizeWords(origin: string): string {
	if (origin === "array") return "a list whose length is ";
	return origin === "string" ? "a text whose length is " : "";
}

function unionWords(issue: z.core.$ZodIssueInvalidUnion): string {
	const words = issue.errors.map((branch) => branch.map((inner) => allowedAt(inner)).join(" and "));
	const some = words.filter((text) => text !== "");
	return some.length === 0 ? issue.message : [...new Set(some)].join(", or ");
}

/**
 * The complaints of that branch of a union which the writer meant: the one that knows all the
 * keys that are there. Null when no branch does, or the value is no mapping.
 */
export function branchMeant(
	issue: z.core.$ZodIssueInvalidUnion,
	value: unknown,
): z.core.$ZodIssue[] | null {
	if (typeof value !== "object" || value === null || Array.isArray(value)) return null;
	const knowing = issue.errors.filter(
		(branch) => !branch.some(({ code }) => code === "unrecognized_keys"),
	);
	const [best] = [...knowing].sort((a, b) => a.length - b.length);
	return best ?? null;
}

/** The key sets of a union of mappings at `path`, in words; null where it is none. */
export function shapesAt(schema: z.ZodType, path: ReadonlyArray<string | number>): string | null {
	const here = schemaAt(schema, path);
	if (!(here instanceof z.ZodUnion)) return null;
	const shapes = here.options.flatMap((option: unknown) =>
		option instanceof z.ZodObject ? [Object.keys(option.shape)] : [],
	);
	if (shapes.length === 0) return null;
	return `one of these sets of keys: ${shapes.map((keys) => `{${keys.join(", ")}}`).join(" ")}`;
}

/** The keys that an object schema knows at `path`; empty where it is not an object. */
export function keysAt(schema: z.ZodType, path: ReadonlyArray<string | number>): string[] {
	const here = schemaAt(schema, path);
	return here instanceof z.ZodObject ? Object.keys(here.shape) : [];
}

function schemaAt(schema: z.ZodType, path: ReadonlyArray<string | number>): z.ZodType | undefined {
	let here: z.ZodType | undefined = bare(schema);
	for (const part of path) {
		if (here instanceof z.ZodObject) {
			const next: unknown = here.shape[String(part)];
			here = next instanceof z.ZodType ? bare(next) : undefined;
		} else if (here instanceof z.ZodArray && here.element instanceof z.ZodType) {
			here = bare(here.element);
		} else if (here instanceof z.ZodRecord && here.valueType instanceof z.ZodType) {
			here = bare(here.valueType);
		} else {
			return undefined;
		}
	}
	return here;
}

/** The schema inside optional, default, prefault and pipe wrappers. */
function bare(schema: z.ZodType): z.ZodType {
	if (
		schema instanceof z.ZodOptional ||
		schema instanceof z.ZodDefault ||
		schema instanceof z.ZodPrefault
	) {
		const inner: unknown = schema.unwrap();
		return inner instanceof z.ZodType ? bare(inner) : schema;
	}
	if (schema instanceof z.ZodPipe && schema.in instanceof z.ZodType) return bare(schema.in);
	return schema;
}

/** The known keys, led by the one that shares its beginning with the unknown key. */
export function didYouMean(key: string, known: readonly string[]): string {
	const shared = (other: string) => {
		let n = 0;
		while (n < other.length && n < key.length && other[n] === key[n]) n += 1;
		return n;
	};
	const best = [...known].sort((a, b) => shared(b) - shared(a))[0];
	const all = known.length === 0 ? "no keys here" : known.join(", ");
	return best !== undefined && shared(best) >= 4
		? `${best} (did you mean that?); all: ${all}`
		: all;
}
