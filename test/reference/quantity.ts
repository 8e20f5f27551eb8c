// Reads a row's inputs by quantity instead of by name: one quantity has several names and units,
// and is one number or a list of them. Imports types only.

import type { Answer, Inputs } from "./adapter.ts";

/** A quantity in SI: the names it goes by, each with its unit's size, and what stands in for it. */
export interface Quantity {
	readonly units: Readonly<Record<string, number>>;
	readonly otherwise?: number;
}

/** @param otherwise taken when the row gives none of the names; without it the row must */
export function quantity(units: Readonly<Record<string, number>>, otherwise?: number): Quantity {
	return otherwise === undefined ? { units } : { units, otherwise };
}

/** As an adapter's needs have it: the quantities without a stand-in, their names joined by `|`. */
export const needs = (...quantities: readonly Quantity[]): string[] =>
	quantities
		.filter(({ otherwise }) => otherwise === undefined)
		.map(({ units }) => Object.keys(units).join("|"));

/** The quantity's value or values; undefined when it is missing or is no number. */
export function read(
	inputs: Inputs,
	{ units, otherwise }: Quantity,
): number | number[] | undefined {
	for (const [name, unit] of Object.entries(units)) {
		const given = inputs[name];
		if (given === undefined) continue;
		if (typeof given === "number") return given * unit;
		if (Array.isArray(given) && given.every((value) => typeof value === "number"))
			return given.map((value) => value * unit);
		return undefined;
	}
	return otherwise;
}

/** The same as a list. */
export function list(inputs: Inputs, of: Quantity): number[] | undefined {
	const value = read(inputs, of);
	return typeof value === "number" ? [value] : value;
}

/** The same as one number; undefined for a list of several. */
export function one(inputs: Inputs, of: Quantity): number | undefined {
	const values = list(inputs, of);
	return values?.length === 1 ? values[0] : undefined;
}

/**
 * A function of single numbers as an answer: with lists it is called for each entry, single numbers
 * going along with all of them. Lists of different length have no answer.
 */
export function each(
	quantities: readonly Quantity[],
	find: (...values: number[]) => unknown,
): Answer {
	return (inputs) => {
		const given = quantities.map((one) => read(inputs, one));
		if (given.some((value) => value === undefined)) return undefined;
		const lengths = given.filter(Array.isArray).map((values) => values.length);
		const length = lengths[0];
		if (lengths.some((other) => other !== length)) return undefined;
		const at = (i: number) =>
			find(...given.map((value) => (Array.isArray(value) ? value[i] : value) ?? Number.NaN));
		return length === undefined ? at(0) : Array.from({ length }, (_, i) => at(i));
	};
}
