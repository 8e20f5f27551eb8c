// A step that a person does alone and tells: the limits of the entries decide, and the rig's name
// must be the rig file's. Pure.

import type { Entry, Proceeding } from "./steps.ts";
import type { Kind, Values } from "./trial.ts";
import { judged } from "./trial.ts";

type Told = Extract<Proceeding, { kind: "told" }>;
interface Work {
	readonly kind: "told";
}

/** Letters of a typed text that count. */
const TYPED_MAX = 40;
const typed = (text: string) => text.trim().toLowerCase().slice(0, TYPED_MAX).trim();

export const told: Kind<Told, Work> = {
	begin: () => ({ kind: "told" }),
	advance: (_, work) => ({ work }),
	answer(goes, work, values, { plan }) {
		const reasons = goes.entries.flatMap((entry) => outside(entry, values));
		const { label } = values;
		const name = plan.rig.rig;
		if (typeof label === "string" && typed(label) !== typed(name)) {
			reasons.push(`the box says "${label}", the rig file "${name}"`);
		}
		return { work, end: judged(reasons, values) };
	},
	asks: () => "answer",
	say: () => "Do it, then type what came of it.",
	entries: ({ entries }) => entries,
	seen: () => ({}),
	isTried: () => false,
};

function outside({ name, words, number }: Entry, values: Values): string[] {
	const value = values[name];
	if (number === undefined || typeof value !== "number") return [];
	const { min, max } = number;
	if (value >= min && value <= max) return [];
	return [`${words}: ${value}, where ${min === max ? min : `${min} to ${max}`} is right`];
}
