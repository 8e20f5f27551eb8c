// A value that a person types in a step of commissioning: what is asked, what may be typed, and
// what is said of anything else. Pure; imports the catalogue of steps.

import { entriesOf } from "../../../firmware/commission/kinds.ts";
import { type Step, stepRows } from "../../../firmware/commission/step-rows.ts";
import { type Entry, TEXT_MAX } from "../../../firmware/commission/steps.ts";
import { rangeWords } from "../../report/commission-steps.ts";

/** The controller's own words and limits; a newer one may ask for more than is known here. */
export const entryOf = (step: Step, name: string): Entry =>
	entriesOf(step).find((entry) => entry.name === name) ?? { name, words: name };

/** Outside of their limits values may be true there: the step then fails by them. */
export const mayBeOutside = (step: Step): boolean => stepRows[step].goes.kind === "told";

export function entryPrompt(entry: Entry): string {
	const range = rangeWords(entry);
	return `${entry.words}${range === "" ? "" : ` (${range})`}: `;
}

/** @returns the value, or in `why` what is wrong with it */
export function readEntry(
	entry: Entry,
	typed: string,
): { value: number | string } | { why: string } {
	const text = typed.trim();
	if (entry.number === undefined) {
		if (text.length >= 1 && text.length <= TEXT_MAX) return { value: text };
		return { why: `found ${text.length} characters; allowed: 1 to ${TEXT_MAX}` };
	}
	// A comma is what half of the world types for the point.
	const value = Number(text.replace(",", "."));
	const { min, max } = entry.number;
	if (text === "" || !Number.isFinite(value)) {
		return { why: `found "${text}"; allowed: a number from ${min} to ${max}` };
	}
	return { value };
}
