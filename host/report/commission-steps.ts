// The steps of commissioning as a reader meets them: in which group each stands, which of them a
// rig has, what is read or typed in each and within which limits, and how much fuel it orders. The
// sheet, the page and the command are made from it. Imports the firmware's catalogue of steps.

import { shownWords } from "../../firmware/commission/count.ts";
import { type Step, stepRows } from "../../firmware/commission/step-rows.ts";
import {
	type Entry,
	MEASURE_MS,
	type MeasuredName,
	OFF_MS_MAX,
	RELEASE_MS_MAX,
	type StepRow,
} from "../../firmware/commission/steps.ts";

export const groups = ["at rest", "with the pump", "trips by hand"] as const;
export type Group = (typeof groups)[number];

export function groupOf(step: Step): Group {
	switch (stepRows[step].goes.kind) {
		case "run":
		case "cut":
		case "fills":
			return "with the pump";
		case "trip":
			return "trips by hand";
		default:
			return "at rest";
	}
}

/** A value that is read, measured or typed, and what it must be; empty: anything. */
export interface ValueLine {
	readonly words: string;
	readonly allowed: string;
}

const quantityWords: Readonly<Record<MeasuredName, readonly [words: string, unit: string]>> = {
	vacuumKpa: ["vacuum", "kPa"],
	bowlTapKpa: ["tap between bowl and element", "kPa"],
	levelFrom: ["level under the tube", "of the tank"],
	levelTo: ["level under the return", "of the tank"],
	fuelC: ["fuel's sensor", "°C"],
	caseC: ["motor case's sensor", "°C"],
	supplyVolts: ["supply", "V"],
};

/** A reason as the controller gives it, with a quantity's own name and unit. */
export function reasonWords(reason: string): string {
	for (const [name, [words, unit]] of Object.entries(quantityWords)) {
		if (reason.startsWith(`${name} reads `)) return `${words}${reason.slice(name.length)} ${unit}`;
	}
	return reason;
}

const runLines: Readonly<Record<"prime" | "element" | "siphon" | "amps", readonly ValueLine[]>> = {
	prime: [
		{ words: "from pump on to fuel, s", allowed: "first try; the dry-run limit" },
		{ words: "current without fuel, A", allowed: "" },
		{ words: "current with fuel, A", allowed: "under the overcurrent setpoint" },
	],
	element: [
		{ words: "restriction of the clean element, kPa", allowed: "the rig file's, 25 % or 1 kPa" },
		{ words: "fuel, °C", allowed: "" },
	],
	siphon: [
		{ words: "pulses in two minutes after the pump", allowed: "0" },
		{ words: "in the cup, mL", allowed: "0 to 10" },
	],
	amps: [
		{ words: "clamp meter, A", allowed: "" },
		{ words: "controller, A", allowed: "within 0.1 A or 8 % of it" },
	],
};

/** What a line is kept for on paper. */
export function linesOf({ goes }: StepRow): ValueLine[] {
	switch (goes.kind) {
		case "told":
			return goes.entries.map(entryLine);
		case "count":
			return goes.shows.map((what) => ({
				words: shownWords[what],
				allowed: "as many as were shown",
			}));
		case "button":
			return [{ words: "presses seen in the ten seconds", allowed: "0" }];
		case "look":
			return goes.looks.map(({ say, reads }) => ({ words: say, allowed: `reads ${reads}` }));
		case "measure":
			return [...goes.entries.map(entryLine), ...goes.of.map(measureLine)];
		case "run":
			return [...runLines[goes.watches]];
		case "cut": {
			const from = goes.by === "beat" ? "the last beat" : "the press or the lift";
			return [{ words: `from ${from} to no current, s`, allowed: atMost(RELEASE_MS_MAX) }];
		}
		case "trip":
			return [
				{ words: "trip shown", allowed: goes.code },
				{ words: "from the trip to no current, s", allowed: atMost(OFF_MS_MAX) },
			];
		case "fills":
			return [1, 2, 3].map((fill) => ({
				words: `fill ${fill}: litres, read to ± L, seconds, pulses`,
				allowed: "one size, ± 10 %",
			}));
	}
}

const atMost = (ms: number) => `at most ${ms / 1_000} s`;

const entryLine = (entry: Entry): ValueLine => ({
	words: entry.words,
	allowed: rangeWords(entry),
});

/** As `8 to 32`; `0` where nothing else is allowed; empty for a text. */
export function rangeWords({ number }: Entry): string {
	if (number === undefined) return "";
	const { min, max } = number;
	return min === max ? String(min) : `${min} to ${max}`;
}

type Measure = Extract<StepRow["goes"], { kind: "measure" }>["of"][number];

function measureLine({ quantity, against, within }: Measure): ValueLine {
	const [words, unit] = quantityWords[quantity];
	const base = against === null ? "0" : "what was typed";
	const seconds = MEASURE_MS / 1_000;
	return { words: `${words}, mean of ${seconds} s, ${unit}`, allowed: `${base} ± ${within}` };
}

/** Litres of the attended polish by the step's own words; null where they leave it open. */
export function litresOf({ how }: StepRow): number | null {
	const [, litres] = /attended polish of ([\d.]+) L/i.exec(how) ?? [];
	return litres === undefined ? null : Number(litres);
}

/** When a step that has passed is due again. */
export function againWords({ everyDays, parts }: StepRow, nameOf: (part: string) => string) {
	const after = parts.map(nameOf).join("; ");
	return everyDays === null
		? `after a change of: ${after}`
		: `every ${everyDays} days, and after a change of: ${after}`;
}
