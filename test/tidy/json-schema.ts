// Checks a value by a JSON Schema, as far as the words go that our generated schemas use. A word
// that is not known here is an error, so that nothing of a schema goes unseen.
// Source: JSON Schema, draft 2020-12, core and validation.

export type JsonSchema = Readonly<Record<string, unknown>>;

type Check = (value: unknown, schema: JsonSchema, at: string) => string[];

const isObject = (value: unknown): value is Record<string, unknown> =>
	typeof value === "object" && value !== null && !Array.isArray(value);

const kinds: Readonly<Record<string, (value: unknown) => boolean>> = {
	object: isObject,
	array: Array.isArray,
	string: (value) => typeof value === "string",
	number: (value) => typeof value === "number",
	integer: Number.isInteger,
	boolean: (value) => typeof value === "boolean",
};

const bound =
	(
		word: string,
		sizeOf: (value: unknown) => number | null,
		holds: (n: number, m: number) => boolean,
	): Check =>
	(value, schema, at) => {
		const size = sizeOf(value);
		const limit = Number(schema[word]);
		return size === null || holds(size, limit) ? [] : [`${at}: ${word} ${limit}`];
	};
const number = (value: unknown) => (typeof value === "number" ? value : null);
const length = (value: unknown) => (typeof value === "string" ? value.length : null);
const items = (value: unknown) => (Array.isArray(value) ? value.length : null);
const atLeast = (n: number, m: number) => n >= m;
const atMost = (n: number, m: number) => n <= m;
const nothing: Check = () => [];

const checks: Readonly<Record<string, Check>> = {
	$schema: nothing,
	title: nothing,
	description: nothing,
	default: nothing,
	type: (value, { type }, at) => {
		const names = [type].flat().map(String);
		return names.some((name) => kinds[name]?.(value)) ? [] : [`${at}: no ${names.join(" or ")}`];
	},
	const: (value, schema, at) => (value === schema.const ? [] : [`${at}: another word`]),
	enum: (value, schema, at) =>
		(schema.enum as unknown[]).includes(value) ? [] : [`${at}: another word`],
	pattern: (value, { pattern }, at) =>
		typeof value !== "string" || new RegExp(String(pattern)).test(value) ? [] : [`${at}: pattern`],
	minimum: bound("minimum", number, atLeast),
	maximum: bound("maximum", number, atMost),
	exclusiveMinimum: bound("exclusiveMinimum", number, (n, m) => n > m),
	minLength: bound("minLength", length, atLeast),
	maxLength: bound("maxLength", length, atMost),
	minItems: bound("minItems", items, atLeast),
	required: (value, { required }, at) =>
		isObject(value)
			? (required as string[]).filter((key) => !(key in value)).map((key) => `${at}.${key}: lacks`)
			: [],
	properties: (value, { properties }, at) =>
		isObject(value)
			? Object.entries(properties as Record<string, JsonSchema>).flatMap(([key, inner]) =>
					key in value ? complaints(value[key], inner, `${at}.${key}`) : [],
				)
			: [],
	propertyNames: (value, { propertyNames }, at) =>
		isObject(value)
			? Object.keys(value).flatMap((key) =>
					complaints(key, propertyNames as JsonSchema, `${at}.${key}`),
				)
			: [],
	additionalProperties: (value, { properties = {}, additionalProperties }, at) => {
		if (!isObject(value)) return [];
		const others = Object.keys(value).filter((key) => !(key in Object(properties)));
		if (additionalProperties === false) return others.map((key) => `${at}.${key}: unknown`);
		return others.flatMap((key) =>
			complaints(value[key], additionalProperties as JsonSchema, `${at}.${key}`),
		);
	},
	items: (value, { items: inner }, at) =>
		Array.isArray(value)
			? value.flatMap((one, i) => complaints(one, inner as JsonSchema, `${at}[${i}]`))
			: [],
	anyOf: (value, { anyOf }, at) =>
		(anyOf as JsonSchema[]).some((one) => complaints(value, one, at).length === 0)
			? []
			: [`${at}: none of the shapes`],
};

/** @returns what does not fit, each with its place; throws on a word that it does not know */
export function complaints(value: unknown, schema: JsonSchema, at = ""): string[] {
	return Object.keys(schema).flatMap((word) => {
		const check = checks[word];
		if (check === undefined) throw new Error(`the schema has the word ${word}`);
		return check(value, schema, at);
	});
}
