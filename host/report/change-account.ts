// What a changed setpoint does to the library: each scenario that tells something else, as shipped
// -> with the change; how many are just the same; what it broke. Width 80.

import { wrap } from "./account.ts";
import type { Marked } from "./bench-account.ts";
import type { Comparison } from "./comparison.ts";
import { indented, type LeftOut, leftOutLines } from "./library-account.ts";

const WIDTH = 80;
const INDENT = "    ";
const WHAT_WIDTH = 30;
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
		heading(
			`${"DIFFERS".padEnd(WHAT_WIDTH)}${"AS SHIPPED".padStart(BEFORE_WIDTH)} -> WITH THE CHANGE`,
		),
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
		...changes.flatMap(({ what, before, after }) => rows(what, before, after)).map(plain),
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

/** Words that are too long for their column stand on a line of their own. */
function rows(what: string, before: string, after: string): string[] {
	const first = `${INDENT}${what}`;
	const columns = `${first.padEnd(WHAT_WIDTH)}${before.padStart(BEFORE_WIDTH)} -> ${after}`;
	return columns.length <= WIDTH && before.length <= BEFORE_WIDTH
		? [columns]
		: [first, `${INDENT}${INDENT}${before} -> ${after}`];
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
	const noun = broken === 1 ? "expectation" : "expectations";
	const verdict =
		broken === 0
			? "No expectation that held is broken by the change."
			: `BROKEN by the change: ${broken} ${noun} that held.`;
	const both = all.filter(({ brokenBoth }) => brokenBoth.length > 0);
	const others = [
		held === 0 ? "" : `Broken as shipped and held with the change: ${held}.`,
		both.length === 0
			? ""
			: `Broken either way: ${count(all, (one) => one.brokenBoth)}, in ${namesOf(both)}.`,
	];
	return [
		...wrap(
			`${told.length} of ${all.length} scenarios differ, ${same.length} are just the same to the ` +
				`last digit.${lesser}`,
			WIDTH,
		).map(plain),
		{ mark: broken === 0 ? "held" : "broken", text: verdict },
		...others.flatMap((text) => wrap(text, WIDTH)).map(plain),
	];
}
