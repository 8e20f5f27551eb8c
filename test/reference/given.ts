// Reads the inputs of a reference row: a number or a list alike, numbers written as circuit values
// or in hexadecimal, a value with its uncertainty. Imports the adapters' types only.

import type { Inputs } from "./adapter.ts";

/** An input by its name, or its name and what it counts as where the row lacks it. */
export type Key = string | readonly [name: string, absent: number];

const PREFIXES: Readonly<Record<string, number>> = {
	p: 1e-12,
	n: 1e-9,
	u: 1e-6,
	m: 1e-3,
	k: 1e3,
	meg: 1e6,
};

/** A number, `0x1F`, or a circuit value such as `470k`, `1u`, `2meg`; NaN for anything else. */
export function numberOf(value: unknown): number {
	if (typeof value === "number") return value;
	if (typeof value !== "string") return Number.NaN;
	if (/^0x[0-9a-f]+$/i.test(value)) return Number(value);
	const [, digits, prefix = ""] = /^([-+\d.e]+)\s*(meg|[pnumk])?$/i.exec(value) ?? [];
	// Divided where it can be, so that 470n is the double nearest to 470e-9.
	const factor = prefix === "" ? 1 : (PREFIXES[prefix.toLowerCase()] ?? Number.NaN);
	return factor < 1 ? Number(digits) / Math.round(1 / factor) : Number(digits) * factor;
}

const given = (inputs: Inputs, key: Key): unknown =>
	typeof key === "string" ? inputs[key] : (inputs[key[0]] ?? key[1]);

/** One number; of a list its first. */
export function one(inputs: Inputs, key: Key): number {
	const value = given(inputs, key);
	return numberOf(Array.isArray(value) ? value[0] : value);
}

/** A list of numbers; a single one is a list of itself. */
export function list(inputs: Inputs, key: Key): number[] {
	const value = given(inputs, key);
	return (Array.isArray(value) ? value : [value]).map(numberOf);
}

/**
 * A function of several inputs, each a number or a list: a list where any of them is one, single
 * numbers going along with each entry. Nothing is answered where one is missing or no number, or
 * where lists differ in length.
 */
export function over(
	inputs: Inputs,
	keys: readonly Key[],
	answer: (...values: number[]) => unknown,
): unknown {
	const columns = keys.map((key) => list(inputs, key));
	if (columns.flat().some(Number.isNaN)) return undefined;
	const lengths = keys
		.map((key) => given(inputs, key))
		.filter(Array.isArray)
		.map((values) => values.length);
	const length = lengths[0];
	if (lengths.some((other) => other !== length)) return undefined;
	const at = (i: number) =>
		answer(...columns.map((values) => (values.length === 1 ? values[0] : values[i]) ?? Number.NaN));
	return length === undefined ? at(0) : Array.from({ length }, (_, i) => at(i));
}
