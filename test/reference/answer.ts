// Takes a reference row to the project's functions and compares. Pure. For each expected field the
// first adapter of the row's group answers that has its inputs and knows the field. A value is held
// within its tolerance; to that comes what the rounding of the row's own numbers, which are written
// to eight digits, can have moved.

import { type Adapter, type Inputs, LeftOut } from "./adapter.ts";
import type { Row } from "./read-rows.ts";
import {
	PROVENANCE,
	roundingOf,
	type Tolerance,
	toleranceOf,
	wordsOf,
	writtenRoundingOf,
} from "./tolerance.ts";

export interface Check {
	readonly id: string;
	/** Name of the expected field; one inside another is `outer.inner`. */
	readonly field: string;
	/** Place in the field's list, `2` or `1.0` in a list of lists; empty for a single value. */
	readonly index: string;
	readonly found: unknown;
	readonly expected: unknown;
	readonly tolerance: Tolerance;
	readonly held: boolean;
	/** Expected from memory alone: it is reported, and fails nothing. */
	readonly fromMemory: boolean;
}

export interface Gap {
	readonly id: string;
	readonly field: string;
	readonly why: string;
}

export interface Answered {
	readonly checks: readonly Check[];
	readonly gaps: readonly Gap[];
}

/** Names a field goes by with the adapters: its own, and those of what it is a printed value of. */
function namesOf(path: readonly string[]): string[] {
	const last = path.at(-1) ?? "";
	const bare = [
		last
			.split("_")
			.filter((word) => !isProvenance(word))
			.join("_"),
		last,
	];
	return [...new Set([path.join("."), last, ...bare])].filter(Boolean);
}

const isProvenance = (word: string): boolean => PROVENANCE.some((known) => known === word);

/** Groups of a topic: `1+2 suction` is both. Empty when it begins with no number. */
export function groupsOf(topic: string): number[] {
	return (/^\d+(\+\d+)*/.exec(topic)?.[0] ?? "").split("+").filter(Boolean).map(Number);
}

const missing = (adapter: Adapter, inputs: Inputs): string[] =>
	adapter.needs.filter((need) => need.split("|").every((name) => inputs[name] === undefined));

function rank(adapter: Adapter, topic: string): number {
	if (adapter.topic === undefined) return 1;
	return adapter.topic.test(topic) ? 0 : 2;
}

type Find = (inputs: Inputs) => unknown;

/** What an adapter has for a field, under whichever of its names. */
function answersOf(adapter: Adapter, path: readonly string[]): Find[] {
	const finds: Find[] = [];
	for (const name of namesOf(path)) {
		const named = Object.hasOwn(adapter.answers, name) ? adapter.answers[name] : undefined;
		if (named !== undefined) finds.push(named);
		for (const { field, answer } of adapter.patterns ?? []) {
			const match = field.exec(name);
			if (match !== null) finds.push((inputs) => answer(inputs, match));
		}
	}
	// An outer field that is answered whole answers its inner ones.
	const [outer, ...inner] = path;
	const whole = outer === undefined || inner.length === 0 ? [] : answersOf(adapter, [outer]);
	for (const find of whole)
		finds.push((inputs) => inner.reduce((value, key) => memberOf(value, key), find(inputs)));
	return finds;
}

function memberOf(value: unknown, key: string): unknown {
	if (typeof value !== "object" || value === null || Array.isArray(value)) return undefined;
	return (value as Record<string, unknown>)[key];
}

export class Answerer {
	private readonly adapters: readonly Adapter[];

	constructor(adapters: readonly Adapter[]) {
		this.adapters = adapters;
	}

	answer(row: Row): Answered {
		const checks: Check[] = [];
		const gaps: Gap[] = [];
		for (const path of leaves(row.expected)) {
			const { find, why } = this.finder(row, path);
			const field = path.join(".");
			if (find === undefined) gaps.push({ id: row.id, field, why });
			else compare(row, path, find, checks, gaps);
		}
		return { checks, gaps };
	}

	private finder(row: Row, path: readonly string[]): { find?: Find; why: string } {
		const groups = groupsOf(row.topic);
		if (groups.length === 0) return { why: "the topic begins with no group number" };
		const group = this.adapters
			.filter((adapter) => groups.includes(adapter.group))
			.map((adapter, i) => ({ adapter, place: rank(adapter, row.topic) * 1e6 + i }))
			.sort((a, b) => a.place - b.place)
			.map(({ adapter }) => adapter);
		if (group.length === 0) return { why: `group ${groups.join("+")} has no adapter` };
		let why = "no adapter knows this field";
		for (const adapter of group) {
			const finds = answersOf(adapter, path);
			if (finds.length === 0) continue;
			const lacks = missing(adapter, row.inputs);
			if (lacks.length > 0) {
				why = `the row gives no ${lacks.join(", no ")}`;
				continue;
			}
			for (const find of finds) {
				const safe = (inputs: Inputs) => attempt(find, inputs);
				if (safe(row.inputs) !== undefined) return { find: safe, why };
				why = "the inputs are outside what the function answers";
			}
		}
		return { why };
	}
}

/** A function that throws on a row's data has not held. */
function attempt(find: Find, inputs: Inputs): unknown {
	try {
		return find(inputs);
	} catch (error) {
		return `threw: ${error instanceof Error ? error.message : String(error)}`;
	}
}

/** Paths of the fields that hold values: numbers, words or lists of them. */
function leaves(value: unknown, path: readonly string[] = []): string[][] {
	if (typeof value !== "object" || value === null || Array.isArray(value)) return [[...path]];
	return Object.entries(value).flatMap(([key, inner]) => leaves(inner, [...path, key]));
}

function expectedAt(expected: unknown, path: readonly string[]): unknown {
	return path.reduce((value, key) => memberOf(value, key), expected);
}

function compare(
	row: Row,
	path: readonly string[],
	find: Find,
	checks: Check[],
	gaps: Gap[],
): void {
	const found = find(row.inputs);
	const field = path.join(".");
	const visit = (expectedPart: unknown, foundPart: unknown, index: readonly number[]): void => {
		if (foundPart instanceof LeftOut || foundPart === undefined) {
			const why = foundPart?.why ?? "the inputs are outside what the function answers";
			gaps.push({ id: row.id, field: [field, ...index].join("."), why });
			return;
		}
		if (Array.isArray(expectedPart)) {
			const parts = Array.isArray(foundPart) ? foundPart : [foundPart];
			if (parts.length === expectedPart.length) {
				expectedPart.forEach((part: unknown, i) => {
					visit(part, parts[i], [...index, i]);
				});
				return;
			}
		} else if (Array.isArray(foundPart) && foundPart.length === 1) {
			visit(expectedPart, foundPart[0], index);
			return;
		}
		const tolerance = toleranceOf(row.tolerance, path, regimeAt(row, index));
		const printed = printedRounding(path, expectedPart);
		const held =
			within(foundPart, expectedPart, tolerance, printed) ||
			within(
				foundPart,
				expectedPart,
				tolerance,
				printed + moved(row.inputs, find, index, foundPart),
			);
		checks.push({
			id: row.id,
			field,
			index: index.join("."),
			found: foundPart,
			expected: expectedPart,
			tolerance,
			held,
			fromMemory: isFromMemory(row, path),
		});
	};
	visit(expectedAt(row.expected, path), found, []);
}

function isFromMemory(row: Row, path: readonly string[]): boolean {
	if (row.kind === "from memory") return true;
	const words = (row.from_memory_part ?? "").split(/[\s,;()]+/);
	return path.some((name) => words.includes(name));
}

/**
 * The row's own word for an entry, where it names a tolerance. Transition names none: its range is
 * no firm value, and what is compared there all the same does not depend on the regime.
 */
function regimeAt(row: Row, index: readonly number[]): string | undefined {
	const words = row.expected.regime;
	const word: unknown = Array.isArray(words) ? words[index[0] ?? 0] : words;
	return typeof word === "string" && word !== "transition" ? word : undefined;
}

/** Half a unit of the last decimal of a value that somebody printed: 8.5 may have been 8.533. */
function printedRounding(path: readonly string[], expected: unknown): number {
	if (typeof expected !== "number" || !path.flatMap(wordsOf).some(isProvenance)) return 0;
	const decimals = /^-?\d+\.(\d+)$/.exec(String(expected))?.[1];
	return decimals === undefined ? 0 : 0.5 * 10 ** -decimals.length;
}

function within(found: unknown, expected: unknown, tolerance: Tolerance, more: number): boolean {
	if (typeof expected !== "number" || typeof found !== "number")
		return JSON.stringify(found) === JSON.stringify(expected);
	if (found === expected) return true;
	// Decimal fractions have no exact binary: 2995 * 0.004 is 11.98 all the same.
	const exact = 1e-12 * Math.abs(expected);
	if (tolerance.exact) return Math.abs(found - expected) <= exact;
	const allowed = Math.max(tolerance.rel * Math.abs(expected), tolerance.abs);
	return Math.abs(found - expected) <= Math.max(allowed, exact, roundingOf(expected)) + more;
}

/** How far half a unit of the eighth digit of the inputs moves a value; 0 where it is no number. */
function moved(inputs: Inputs, find: Find, index: readonly number[], found: unknown): number {
	if (typeof found !== "number") return 0;
	let sum = 0;
	for (const [name, value] of Object.entries(inputs)) {
		const other = shifted(value);
		if (other === undefined) continue;
		let there = find({ ...inputs, [name]: other });
		for (const i of index) there = Array.isArray(there) ? there[i] : there;
		if (typeof there === "number") sum += Math.abs(there - found);
	}
	return Number.isFinite(sum) ? sum : 0;
}

/** The input moved by its rounding; undefined when it is not one that was rounded. */
function shifted(value: unknown): unknown {
	if (typeof value === "number") {
		const rounding = writtenRoundingOf(value);
		return rounding > 0 ? value + rounding : undefined;
	}
	if (!Array.isArray(value)) return undefined;
	const parts: unknown[] = value;
	const others = parts.map(shifted);
	if (others.every((other) => other === undefined)) return undefined;
	return parts.map((part, i) => others[i] ?? part);
}
