// What a changed setpoint does to the library: each scenario that tells something else, as shipped
// -> with the change; how many are just the same; what it broke. Width 80.

import { wrap } from "./account.ts";
import type { Marked } from "./bench-account.ts";
import type { Comparison } from "./comparison.ts";
import { indented, type LeftOut, leftOutLines } from "./library-account.ts";

const WIDTH = 80;
const INDENT = "    ";
const WHAT_WIDTH = 26;
const BEFORE_WIDTH = 14;

const plain = (text: string): Marked => ({ mark: "plain", text });
const heading = (text: string): Marked => ({ mark: "heading", text });

/** @param again the command that tells the story of one of them, with the change */
export function changeAccount(
	comparisons: readonly Comparison[],
	leftOut: readonly LeftOut[],
	again: (name: string) => string,
): Marked[] {
	const told = comparisons.filter(isTold);
	const little = comparisons.filter((one) => !one.isSame && !isTold(one));
	const same = comparisons.filter(({ isSame }) => isSame);
	return [
		heading(row("DIFFERS", "AS SHIPPED", "WITH THE CHANGE")),
		...told.flatMap((one) => [...comparisonLines(one), ...commandLines(one, again)]),
		...(told.length === 0 ? [plain("nothing")] : []),
		plain(""),
		...leftOutLines(leftOut),
		...sumLines(told, little, same, comparisons),
	];
}

const isTold = ({ changes, brokenNow, heldNow }: Comparison): boolean =>
	changes.length + brokenNow.length + heldNow.length > 0;

function comparisonLines({ scenario, seed, changes, brokenNow, heldNow }: Comparison): Marked[] {
	return [
		plain(`${scenario}, seed ${seed}`),
		...changes.map(({ what, before, after }) => plain(row(what, before, after))),
		...heldNow.flatMap(({ text }) => indented(`holds now: ${text}`, INDENT)).map(plain),
		...brokenNow
			.flatMap(({ text, found }) => indented(`BROKEN now: ${text} (found: ${found})`, INDENT))
			.map((text): Marked => ({ mark: "broken", text })),
	];
}

/** Only where something broke: the others are told by their row. */
function commandLines({ scenario, brokenNow }: Comparison, again: (name: string) => string) {
	return brokenNow.length === 0 ? [] : [plain(`${INDENT}${again(scenario)}`)];
}

/** Long words push the arrow to the right, and stay whole. */
function row(what: string, before: string, after: string): string {
	const isHead = what === what.toUpperCase();
	const first = isHead ? what.padEnd(WHAT_WIDTH + 4) : `${INDENT}${what.padEnd(WHAT_WIDTH)}`;
	return `${first}${before.padStart(BEFORE_WIDTH)} -> ${after}`;
}

const namesOf = (some: readonly Comparison[]) => some.map(({ scenario }) => scenario).join(", ");

const count = (some: readonly Comparison[], of: (one: Comparison) => readonly unknown[]) =>
	some.reduce((sum, one) => sum + of(one).length, 0);

function sumLines(
	told: readonly Comparison[],
	little: readonly Comparison[],
	same: readonly Comparison[],
	all: readonly Comparison[],
): Marked[] {
	const lesser =
		little.length === 0
			? ""
			: ` ${little.length} differ by less than is shown: ${namesOf(little)}.`;
	const broken = count(told, ({ brokenNow }) => brokenNow);
	const held = count(told, ({ heldNow }) => heldNow);
	const verdict =
		broken === 0
			? "No expectation that held is broken by the change."
			: `BROKEN by the change: ${broken} ${broken === 1 ? "expectation" : "expectations"} that held.`;
	const both = all.filter(({ brokenBoth }) => brokenBoth.length > 0);
	const others = [
		held === 0 ? "" : `Broken as shipped and held with the change: ${held}.`,
		both.length === 0
			? ""
			: `Broken either way: ${count(all, (one) => one.brokenBoth)}, in ${namesOf(both)}.`,
	];
	return [
		...wrap(
			`${told.length} of ${all.length} scenarios differ, ${same.length} are just the same to the last ` +
				`digit.${lesser}`,
			WIDTH,
		).map(plain),
		{ mark: broken === 0 ? "held" : "broken", text: verdict },
		...others.flatMap((text) => wrap(text, WIDTH)).map(plain),
	];
}
