// What a zod schema says of its keys, as rows for the tables of the pages: kind, range, default,
// meaning. By way of its JSON Schema. Pure.

import * as z from "zod";

/** What of a JSON Schema the tables tell. Source: JSON Schema, draft 2020-12, validation. */
export interface Json {
	readonly type?: string | readonly string[];
	readonly description?: string;
	readonly properties?: Readonly<Record<string, Json>>;
	readonly additionalProperties?: Json | boolean;
	readonly required?: readonly string[];
	readonly anyOf?: readonly Json[];
	readonly items?: Json;
	readonly enum?: readonly string[];
	readonly const?: unknown;
	readonly default?: unknown;
	readonly minimum?: number;
	readonly maximum?: number;
	readonly exclusiveMinimum?: number;
	readonly minLength?: number;
	readonly maxLength?: number;
	readonly pattern?: string;
}

export interface KeyRow {
	/** Of a key within an object `outer.inner`. */
	readonly name: string;
	readonly kind: string;
	readonly isOptional: boolean;
	/** Its default as JSON; null where there is none. */
	readonly preset: string | null;
	readonly meaning: string;
}

export const jsonOf = (schema: z.ZodType): Json => z.toJSONSchema(schema, { io: "input" }) as Json;

export const keysOf = ({ properties = {} }: Json): string => Object.keys(properties).join(", ");

/** A row for each key, those of objects within objects after the object's own. */
export function keyRowsOf(json: Json, prefix = ""): KeyRow[] {
	return Object.entries(json.properties ?? {}).flatMap(([key, value]) => {
		const name = `${prefix}${key}`;
		const row = {
			name,
			kind: kindOf(value),
			isOptional: !(json.required ?? []).includes(key),
			preset: value.default === undefined ? null : JSON.stringify(value.default),
			meaning: value.description ?? "",
		};
		return [row, ...keyRowsOf(objectIn(value), `${name}.`)];
	});
}

/** The object that a value is, or is when it is not null. */
export function objectIn(json: Json): Json {
	const objects = (json.anyOf ?? [json]).filter(({ type }) => type === "object");
	return objects.length === 1 ? (objects[0] ?? {}) : {};
}

/** More words than these are a catalogue of their own. */
const WORDS_SHOWN = 6;

export function kindOf(json: Json): string {
	if (json.const !== undefined) return JSON.stringify(json.const);
	if (json.enum !== undefined) {
		if (json.enum.length > WORDS_SHOWN) return "a word";
		return json.enum.map((word) => `"${word}"`).join(" or ");
	}
	if (Array.isArray(json.type)) return json.type.map((type) => kindOf({ type })).join(" or ");
	if (json.anyOf !== undefined) {
		const isWork = json.anyOf.every(({ type }) => type === "object");
		if (!isWork) return json.anyOf.map(kindOf).join(" or ");
		return `an object of one key: ${json.anyOf.map(keysOf).join(", ")}, as in that method`;
	}
	switch (json.type) {
		case "array":
			return `list of ${kindOf(json.items ?? {})}`;
		case "integer":
		case "number":
			return `${json.type === "integer" ? "whole number" : "number"}${rangeOf(json)}`;
		case "string":
			return json.maxLength === undefined
				? "text"
				: `text of ${json.minLength ?? 0} to ${json.maxLength} characters`;
		case "boolean":
			return "true or false";
		default:
			return String(json.type ?? "anything");
	}
}

function rangeOf({ minimum, maximum, exclusiveMinimum }: Json): string {
	const isBound = (value: number | undefined): value is number =>
		value !== undefined && Math.abs(value) < Number.MAX_SAFE_INTEGER;
	if (isBound(exclusiveMinimum)) {
		return isBound(maximum)
			? ` over ${exclusiveMinimum}, to ${maximum}`
			: ` over ${exclusiveMinimum}`;
	}
	if (isBound(minimum))
		return isBound(maximum) ? `, ${minimum} to ${maximum}` : `, from ${minimum}`;
	return "";
}
