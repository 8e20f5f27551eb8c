// What the guide of commissioning says: a step before it begins, what is seen meanwhile, what came
// of it, and the fills of the meter. Lines of text with marks; nothing is told by colour alone.
// Pure; imports the catalogue of steps and of trips.

import type { FillList, ProofList, ProofNow } from "../../../firmware/commission/schemas.ts";
import { type Step, stepRows } from "../../../firmware/commission/step-rows.ts";
import type { Status } from "../../../firmware/link/protocol.ts";
import { groupOf, reasonWords } from "../../report/commission-steps.ts";
import { tripWords } from "../../report/trip-words.ts";

export type Mark = "title" | "plain" | "caution" | "good" | "bad";
export interface Line {
	readonly mark: Mark;
	readonly text: string;
}

export type Trial = NonNullable<ProofNow["trial"]>;
export type Last = NonNullable<ProofNow["last"]>;
export type Row = ProofList["rows"][number];

export const plain = (text: string): Line => ({ mark: "plain", text });
export const caution = (text: string): Line => ({ mark: "caution", text });
export const bad = (text: string): Line => ({ mark: "bad", text });

/** The last piece of a value's name says its unit. */
const UNITS: Readonly<Record<string, string>> = {
	Kohm: "kΩ",
	Ohm: "Ω",
	Seconds: "s",
	Ms: "ms",
	Amps: "A",
	Volts: "V",
	Kpa: "kPa",
	Hpa: "hPa",
	C: "°C",
	Ml: "mL",
	L: "L",
	Litres: "L",
	Lph: "L/h",
	Pct: "%",
	Hours: "h",
};

/** Names that say too little to whoever has not read the program, as they end before the unit. */
const VALUE_WORDS: Readonly<Record<string, string>> = {
	airAmps: "current without fuel",
	loadAmps: "current with fuel",
	amps: "current before",
	offMs: "from the trip to no current",
	releaseMs: "from the last beat to no current",
	primeSeconds: "from pump on to fuel",
	levelFrom: "level under the tube",
	levelTo: "level under the return",
	dipFrom: "dipped under the tube",
	dipTo: "dipped under the return",
	cupMl: "in the cup",
	stillSeconds: "watched for",
};

/** As `air 1200 kΩ` of `airKohm`; what has no unit in its name is told as it is. */
export function valueWords(name: string, value: number | string): string {
	const pieces = name.split(/(?=[A-Z])|-/);
	const last = pieces.at(-1) ?? "";
	const unit = UNITS[last.charAt(0).toUpperCase() + last.slice(1)];
	const short = (unit === undefined ? pieces : pieces.slice(0, -1)).join(" ").toLowerCase();
	const own = VALUE_WORDS[name] ?? short;
	// A word in place of a number has no unit.
	const told =
		typeof value === "string"
			? value
			: [String(Number(value.toPrecision(4))), ...(unit === undefined ? [] : [unit])].join(" ");
	return own === "" ? told : `${own} ${told}`;
}

export const valuesWords = (values: Readonly<Record<string, number | string>>): string =>
	Object.entries(values)
		.map(([name, value]) => valueWords(name, value))
		.join(", ");

/** Before a step begins. */
export function stepLines(step: Step, place: string): Line[] {
	const { title, how, cautions } = stepRows[step];
	return [
		plain(""),
		{ mark: "title", text: `${place}${title} (${step}; ${groupOf(step)})` },
		plain(how),
		caution(`Caution: ${cautions}`),
	];
}

/** What the controller says; where that is `do it now`, with what there is to do. */
export function sayLines({ step, say }: Trial): Line[] {
	const [, act = ""] = stepRows[step].how.split(/polish of [\d.]+ L[.;] /i);
	const again = say.startsWith("Do it now") && act !== "" ? [plain(`  ${sentence(act)}`)] : [];
	return [plain(`> ${sentence(say)}`), ...again];
}

/** What it is like just now, on one line. */
export function liveWords({ asks, seen, leftSeconds }: Trial): string {
	const values = valuesWords(seen);
	const what = {
		press: "waits for a press of the box's button",
		order: "waits for the order",
		act: "watching",
		answer: "waits for values",
		// What changes says by itself that the controller is at it.
		wait: values === "" ? "the controller is at it" : "",
	}[asks];
	const told = [what, values].filter((words) => words !== "").join(": ");
	return `${told}; ${leftWords(leftSeconds)} left, q ends it`;
}

const leftWords = (seconds: number): string =>
	seconds < 120 ? `${seconds} s` : `${Math.floor(seconds / 60)} min`;

export function outcomeLines({ step, passed, reasons, values }: Last): Line[] {
	const measured = valuesWords(values);
	return [
		passed
			? { mark: "good", text: `Passed: ${stepRows[step].title}.` }
			: bad(`Not passed: ${stepRows[step].title}.`),
		...(measured === "" ? [] : [plain(`  Evidence: ${measured}.`)]),
		...reasons.map((reason) => bad(`  ${sentence(reasonWords(reason))}`)),
		...(passed ? [] : [plain("  Mend what it names, then begin the step again.")]),
	];
}

/** @param code as the controller tells it */
export function trippedLines(trips: Status["trips"]): Line[] {
	return trips.flatMap(({ code, cause }) => {
		const words = tripWords(code, cause);
		return [
			bad(`Tripped: ${code}: ${words.cause}.`),
			plain(`  Do: ${words.toDo}.`),
			plain("  Press the box's button once when that is done: it acknowledges."),
		];
	});
}

export function listHead(rows: readonly Row[]): Line[] {
	const due = rows.filter((row) => row.due !== null).length;
	const words =
		due === 0
			? "Every step is passed and none is due."
			: `${due} of ${rows.length} steps are due; an order that nobody attends is refused.`;
	return [plain(words)];
}

/** Which fills there are, odd ones marked, and what they give. */
export function fillLines({ fills, perLitre, uncertaintyPct, pumpLph, pumpPct }: FillList): Line[] {
	if (fills.length === 0) return [];
	const cells = fills.map(({ fillSeq, pulses, litres, seconds, perLitre: own, struck, odd }) => [
		String(fillSeq),
		litres.toFixed(2),
		seconds.toFixed(1),
		String(pulses),
		own.toFixed(2),
		((3_600 * litres) / seconds).toFixed(1),
		[...(struck ? ["struck"] : []), ...(odd ? ["odd: look at it"] : [])].join(", "),
	]);
	const head = ["fill", "L", "s", "pulses", "pulses/L", "L/h", ""];
	const widths = head.map((word, i) =>
		Math.max(word.length, ...cells.map((row) => cellLength(row, i))),
	);
	const lineOf = (row: readonly string[]) => {
		const all = row.map((cell, i) => (i === 6 ? cell : cell.padStart(widths[i] ?? 0)));
		return `  ${all.join("  ")}`.trimEnd();
	};
	const mean =
		perLitre === null || uncertaintyPct === null
			? "No mean before three fills of one size that count."
			: `Mean ${perLitre.toFixed(2)} pulses/L, ${sureWords(uncertaintyPct)}.`;
	const pump =
		pumpLph === null || pumpPct === null
			? []
			: [plain(`Pump ${pumpLph.toFixed(1)} L/h, ${sureWords(pumpPct)}.`)];
	const isOdd = fills.some(({ odd, struck }) => odd && !struck);
	const strike =
		"An odd fill stays in the mean until a person strikes it: `strike NUMBER REASON`. Strike one " +
		"only for what went wrong with it, not for its figure.";
	return [
		plain(lineOf(head)),
		...cells.map((row) => plain(lineOf(row))),
		plain(mean),
		...pump,
		...(isOdd ? [plain(strike)] : []),
	];
}

const sureWords = (percent: number) => `standard uncertainty ${percent.toFixed(2)} %`;

const cellLength = (row: readonly string[], i: number): number => row[i]?.length ?? 0;

/** The lines that belong into the rig file; none before there is a mean. */
export function rigFileLines(fills: FillList): Line[] {
	const { perLitre, uncertaintyPct, pumpLph, pumpPct } = fills;
	if (perLitre === null || uncertaintyPct === null) return [];
	return [
		plain("For the rig file (or `lees commission PORT --write FILE`), then start anew with it:"),
		plain(`  meter:  pulsesPerLitre: ${rounded(perLitre)}`),
		plain(`          calibrationPct: ${percent(uncertaintyPct)}`),
		...(pumpLph === null || pumpPct === null
			? []
			: [
					plain(`  pump:   measuredLph: ${rounded(pumpLph)}`),
					plain(`          measuredPct: ${percent(pumpPct, 0.1)}`),
				]),
	];
}

/** To five digits: the uncertainty lies far above the sixth. */
export const rounded = (value: number): number => Number(value.toPrecision(5));

/** Upwards, so that it is never told too small. @param least what the rig file may say */
export const percent = (value: number, least = 0.01): number =>
	Math.max(least, Math.ceil(100 * value - 1e-9) / 100);

export function sentence(text: string): string {
	const first = text.charAt(0).toUpperCase() + text.slice(1);
	return /[.?!]$/.test(first) ? first : `${first}.`;
}
