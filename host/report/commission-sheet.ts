// The procedure of commissioning as a document for the clipboard: each step with a box to tick,
// what is done, its cautions, and lines for values, date and initials. HTML and PDF are made from
// it as the season's are. Pure; imports the blocks and the steps.

import { stepsOf } from "../../firmware/commission/plan.ts";
import { type Step, stepRows, steps } from "../../firmware/commission/step-rows.ts";
import type { Rig } from "../../firmware/config/rig.ts";
import type { Block, Paper, PathShape, Picture, TextShape } from "./blocks.ts";
import { type Group, groupOf, groups, linesOf, type ValueLine } from "./commission-steps.ts";

/** Of a sheet's picture, points: it fits both papers. */
const WIDTH = 519;
const ROW = 15;
/** Where the line for a value begins, and where what it must be. */
const LINE_X = 300;
const LINE_END = 390;
const ALLOWED_X = 396;
const BASE = 11;

const groupWords: Readonly<Record<Group, string>> = {
	"at rest": "The pump stands still in these.",
	"with the pump":
		"Each of these orders an attended polish: tray, absorbent and a full bowl first, no flame, " +
		"and a hand at the stop button until it ends.",
	"trips by hand":
		"In each of these a person makes the rig stop while it pumps, then acknowledges at the box.",
};

const INTRODUCTION = [
	"Every stop of the rig is proven here before it may be left alone: with water, a can, a " +
		"stopwatch and a meter. The command lees commission PORT leads through the same steps, " +
		"measures what it can and keeps the evidence in the controller's log. This sheet is for the " +
		"clipboard and proves nothing to the controller.",
	"Local codes, the insurer and licensed practice come first. Diesel burns; never petrol, " +
		"and never fuel of which nobody knows what it is. Two people; eye protection and gloves; " +
		"an extinguisher for oil fires in reach; the bilge pump off. Isolator off and locked " +
		"before a hand goes to bowl, element or pump.",
	"No part of this is a safety-rated device. What the steps prove holds for the day and the " +
		"parts; each says when it is due again.",
];

/** @param rig null: every step that there is, for no rig in particular */
export function commissionSheet(rig: Rig | null): Paper {
	const own = rig === null ? steps : stepsOf(rig);
	const title = rig === null ? "Commissioning" : `Commissioning: ${rig.rig}`;
	const mark = rig?.invented === true ? "Invented demonstration data: of no rig that is." : null;
	return {
		lang: "en",
		title,
		foot: `Lees, commissioning sheet${rig === null ? "" : `, ${rig.rig}`}`,
		blocks: [
			{ kind: "title", text: title },
			...(mark === null ? [] : [words(mark, "mark")]),
			...INTRODUCTION.map((text) => words(text, "plain")),
			...groups.flatMap((group) => groupBlocks(group, own)),
		],
	};
}

const words = (text: string, tone: "plain" | "mark"): Block => ({
	kind: "words",
	text,
	tone,
});

function groupBlocks(group: Group, own: readonly Step[]): Block[] {
	const inGroup = own.filter((step) => groupOf(step) === group);
	if (inGroup.length === 0) return [];
	const [first = ""] = group;
	return [
		{ kind: "heading", text: `${first.toUpperCase()}${group.slice(1)}` },
		words(groupWords[group], "plain"),
		...inGroup.flatMap((step) => stepBlocks(step, own.indexOf(step) + 1)),
	];
}

function stepBlocks(step: Step, number: number): Block[] {
	const row = stepRows[step];
	return [
		{ kind: "heading", text: `${number}. ${row.title} (${step})` },
		words(row.how, "plain"),
		words(row.cautions, "mark"),
		form(step, linesOf(row), row.everyDays),
	];
}

/** A box, date and initials in the first row; below it a row a value. */
function form(step: Step, lines: readonly ValueLine[], everyDays: number | null): Picture {
	const again = everyDays === null ? "again after a change" : `again after ${everyDays} days`;
	const rows = lines.map((line, i) => valueRow(line, (i + 1) * ROW));
	return {
		kind: "picture",
		description: `Lines to fill in for ${step}: passed, date, initials, ${lines.length} values`,
		width: WIDTH,
		height: (lines.length + 1) * ROW + 2,
		paths: [
			stroke("M 1 3 h 9 v 9 h -9 z"),
			stroke(`M 92 ${BASE + 1} H 200`),
			stroke(`M ${LINE_X} ${BASE + 1} H ${LINE_END}`),
			...rows.flatMap(({ paths }) => paths),
		],
		texts: [
			text("passed", 16, BASE),
			text("date", 68, BASE),
			text("initials", 262, BASE),
			text(again, ALLOWED_X, BASE),
			...rows.flatMap(({ texts }) => texts),
		],
	};
}

function valueRow({ words: what, allowed }: ValueLine, top: number) {
	return {
		paths: [stroke(`M ${LINE_X} ${top + BASE + 1} H ${LINE_END}`)],
		texts: [
			text(what, 16, top + BASE),
			...(allowed === "" ? [] : [text(allowed, ALLOWED_X, top + BASE)]),
		],
	};
}

const stroke = (d: string): PathShape => ({
	d,
	width: 0.6,
	dash: [],
	isFilled: false,
	shade: "black",
});

const text = (said: string, x: number, y: number): TextShape => ({
	words: said,
	x,
	y,
	anchor: "start",
	isBold: false,
});
