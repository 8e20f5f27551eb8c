// The table of `lees bench all`: two lines a scenario, what broke with the command that tells its
// story, a sum. Nothing of the wall's clock, so that the same library prints the same bytes. Width
// 80.

import type { BenchResult } from "../../sim/bench/judge.ts";
import { clock, wrap } from "./account.ts";
import type { Marked } from "./bench-account.ts";

const WIDTH = 80;
const NAME_WIDTH = 27;
const INDENT = "    ";

export interface LeftOut {
	readonly name: string;
	/** The longest that it may take of simulated time. */
	readonly hoursMax: number;
	readonly why: string;
}

/** How the library was played, as the user asked for it. */
export interface LibraryHead {
	readonly board: BenchResult["board"];
	/** One for all; null where each scenario has its own. */
	readonly seed: number | null;
	readonly number: number;
	/** What `--set` changed, in words. */
	readonly changes: readonly string[];
}

const plain = (text: string): Marked => ({ mark: "plain", text });
const heading = (text: string): Marked => ({ mark: "heading", text });

/** Lines of at most 80 columns, each with `indent`, the ones after the first a little more. */
export function indented(text: string, indent: string): string[] {
	return wrap(text, WIDTH - indent.length - 2).map(
		(line, i) => `${indent}${i === 0 ? "" : "  "}${line}`,
	);
}

export function libraryHead({ board, seed, number, changes }: LibraryHead): Marked[] {
	const seeds = seed === null ? "each with its own seed" : `all with seed ${seed}`;
	const noSeed =
		"What a scenario expects is stated for its own seed: with another one it may break and prove " +
		"nothing.";
	return [
		{ mark: "title", text: `Bench, ${number} scenarios, ${seeds}` },
		plain(
			board === "model"
				? "Simulated board and rig: no hardware, no fuel, no network."
				: "Emulated board, simulated rig: no hardware, no fuel, no network.",
		),
		...(seed === null ? [] : wrap(noSeed, WIDTH).map(plain)),
		...changes.flatMap((text) => wrap(text, WIDTH)).map(plain),
		plain(""),
	];
}

/** @param again the command that tells the story of one of them */
export function libraryAccount(
	results: readonly BenchResult[],
	leftOut: readonly LeftOut[],
	again: (name: string) => string,
): Marked[] {
	const broken = results.filter(isBroken);
	return [
		heading(row(["SCENARIO", "PUMP h", "LOGGED L", "TRUE L", "TIME"], "EXPECTED")),
		...results.flatMap(scenarioLines),
		plain(""),
		...(broken.length === 0 ? [] : [heading("BROKEN")]),
		...broken.flatMap((result) => brokenLines(result, again(result.scenario))),
		...leftOutLines(leftOut),
		...sumLines(results),
	];
}

export const isBroken = ({ expectations }: BenchResult): boolean =>
	expectations.some(({ held }) => !held);

function scenarioLines(result: BenchResult): Marked[] {
	const { scenario, seed, logged, truth, expectations, simulatedSeconds } = result;
	const held = expectations.filter((one) => one.held).length;
	const verdict = held === expectations.length ? "held" : "BROKEN";
	const cells = [
		(truth.pumpOnSeconds / 3_600).toFixed(3),
		logged.litres.toFixed(1),
		truth.litresThroughPump.toFixed(1),
		clock(simulatedSeconds * 1_000),
	];
	const text = row([scenario, ...cells], `${verdict} ${held} of ${expectations.length}`);
	const mark = isBroken(result) ? "broken" : "plain";
	return [
		...text.split("\n").map((line): Marked => ({ mark, text: line })),
		...indented(`seed ${seed}, ${endWords(result)}`, INDENT).map(plain),
	];
}

/** A name that is too long for its column stands on a line of its own. */
function row([name = "", ...figures]: readonly string[], verdict: string): string {
	const widths = [7, 9, 9, 10];
	const cells = figures.map((cell, i) => cell.padStart(widths[i] ?? 0)).join("");
	const first = name.length > NAME_WIDTH ? `${name}\n${"".padEnd(NAME_WIDTH)}` : name;
	return `${first.padEnd(NAME_WIDTH)}${cells}  ${verdict}`;
}

/** How it ended, and the trips on the way where they are more than that. */
function endWords({ outcome, trips }: BenchResult): string {
	const codes = trips.map(({ code }) => code);
	if (codes.length === 0 || (codes.length === 1 && outcome === `tripped: ${codes[0]}`)) {
		return outcome;
	}
	const stretches: Array<{ code: string; times: number }> = [];
	for (const code of codes) {
		const last = stretches.at(-1);
		if (last?.code === code) last.times += 1;
		else stretches.push({ code, times: 1 });
	}
	const words = stretches.map(({ code, times }) => (times > 1 ? `${code} ${times} times` : code));
	return `${outcome}; ${codes.length === 1 ? "trip" : "trips"}: ${words.join(", ")}`;
}

function brokenLines({ scenario, expectations }: BenchResult, again: string): Marked[] {
	return [
		plain(scenario),
		...expectations
			.filter(({ held }) => !held)
			.flatMap(({ text, found }) => indented(`${text} (found: ${found})`, INDENT))
			.map((text): Marked => ({ mark: "broken", text })),
		plain(`${INDENT}${again}`),
		plain(""),
	];
}

/** Those of one reason together. */
export function leftOutLines(leftOut: readonly LeftOut[]): Marked[] {
	if (leftOut.length === 0) return [];
	const reasons = [...new Set(leftOut.map(({ why }) => why))];
	const names = (reason: string) =>
		leftOut
			.filter(({ why }) => why === reason)
			.map(({ name, hoursMax }) => `${name} (${Number(hoursMax.toPrecision(3))} h)`);
	const texts = reasons.map((reason) => `It ${reason} on this board: ${names(reason).join(", ")}.`);
	return [
		heading(`LEFT OUT: ${leftOut.length}`),
		...texts.flatMap((text) => wrap(text, WIDTH)).map(plain),
		plain(""),
	];
}

function sumLines(results: readonly BenchResult[]): Marked[] {
	const sum = (of: (result: BenchResult) => number) =>
		results.reduce((total, result) => total + of(result), 0);
	const all = sum(({ expectations }) => expectations.length);
	const held = sum(({ expectations }) => expectations.filter((one) => one.held).length);
	const broken = results.filter(isBroken).length;
	const number = results.length;
	const text =
		`${number} scenarios: ${(sum((one) => one.simulatedSeconds) / 3_600).toFixed(1)} h ` +
		`simulated, ${(sum(({ truth }) => truth.pumpOnSeconds) / 3_600).toFixed(1)} h with the pump ` +
		`on, ${sum(({ logged }) => logged.litres).toFixed(0)} L logged, ` +
		`${sum(({ truth }) => truth.litresThroughPump).toFixed(0)} L true.`;
	const verdict =
		held === all
			? `All ${all} expectations held.`
			: `BROKEN: ${all - held} of ${all} expectations, in ${broken} of ${number} scenarios.`;
	return [
		...wrap(text, WIDTH).map(plain),
		{ mark: held === all ? "held" : "broken", text: verdict },
	];
}
