// A value that a person types in a step of commissioning: what is asked, what may be typed, and
// what is said of anything else. Pure; imports the catalogue of steps.

import { type Step, stepRows } from "../../../firmware/commission/step-rows.ts";
import type { Entry } from "../../../firmware/commission/steps.ts";
import { rangeWords } from "../../report/commission-steps.ts";

const TEXT_MAX = 40;

/** The catalogue's own words where it has them; a newer controller may ask for more. */
export function entryOf(step: Step, name: string): Entry {
	const { goes } = stepRows[step];
	const own = "entries" in goes ? goes.entries.find((entry) => entry.name === name) : undefined;
	return own ?? other[name] ?? { name, words: name };
}

const number = (name: string, words: string, min: number, max: number): Entry => ({
	name,
	words,
	number: { min, max },
});

/** What the controller asks for in steps whose catalogue lists no entries. */
const other: Readonly<Record<string, Entry>> = Object.fromEntries(
	[
		number("clampAmps", "the clamp meter, A", 0, 30),
		number("cupMl", "in the cup, mL", 0, 1_000),
		number("litres", "in the can, L", 0.2, 50),
		number("litresUncertainty", "how well you can read it, ± L", 0.001, 2),
		number("seconds", "by the stopwatch, s", 1, 7_200),
		number("lamp-pump", "how often the pump lamp flashed", 0, 10),
		number("lamp-trip", "how often the trip lamp flashed", 0, 10),
		number("horn", "how often the horn sounded", 0, 10),
	].map((entry) => [entry.name, entry]),
);

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
