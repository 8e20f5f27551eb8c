// Which file a kind of step goes by, what it asks the person for, and what answer it may take.
// Pure.

import { button } from "./button.ts";
import { count } from "./count.ts";
import { cut } from "./cut.ts";
import { filling } from "./filling.ts";
import { look } from "./look.ts";
import { measure } from "./measure.ts";
import { type Step, stepWays } from "./step-ways.ts";
import type { Entry, Proceeding } from "./steps.ts";
import { told } from "./told.ts";
import type { Kind, Values } from "./trial.ts";
import { tripByHand } from "./trip-by-hand.ts";
import { watchedRun } from "./watched-run.ts";

const kinds = {
	told,
	count,
	button,
	look,
	measure,
	run: watchedRun,
	cut,
	trip: tripByHand,
	fills: filling,
} as const;

/** A step's kind, and what the catalogue says for it. */
export function wayOf(step: Step): { kind: Kind<Proceeding, unknown>; goes: Proceeding } {
	const { goes } = stepWays[step];
	return { kind: kinds[goes.kind], goes };
}

/** What the person is asked for in a step, with words and limits. */
export function entriesOf(step: Step): readonly Entry[] {
	const { kind, goes } = wayOf(step);
	return kind.entries(goes);
}

/** What is wrong with values that were typed; empty when the step may take them. */
export function answerRefusals(step: Step, values: Values): string[] {
	const entries = entriesOf(step);
	const isTold = stepWays[step].goes.kind === "told";
	const strange = Object.keys(values).filter((name) => !entries.some((e) => e.name === name));
	return [
		...strange.map((name) => `nothing called "${name}" is asked for`),
		...entries.flatMap(({ name, number }) => {
			const value = values[name];
			if (value === undefined) return [`${name} is missing`];
			if (number === undefined) return typeof value === "string" ? [] : [`${name} is a text`];
			if (typeof value !== "number") return [`${name} is a number`];
			// What is only told is judged by its limits: outside of them it has failed.
			const isIn = isTold || (value >= number.min && value <= number.max);
			return isIn ? [] : [`${name} is ${number.min} to ${number.max}, not ${value}`];
		}),
	];
}
