// The paper round a sheet: frame, heading, cautions, legend and title block. A4 landscape (ISO
// 216), in mm. Pure.

import { lineFrom, shape, textAt } from "../../report/svg.ts";
import type { Netlist } from "../netlist.ts";
import type { Sheet } from "./sheet-plan.ts";
import type { SheetPlace } from "./sheet-svg.ts";

export const PAPER = { width: 297, height: 210, margin: 8 } as const;
/** Height of the strip at the foot. */
const FOOT = 39;
const SMALL = 2.4;

const THIN = { stroke: "#000", "stroke-width": 0.25 };

export function frame(sheet: Sheet, list: Netlist, place: SheetPlace): string[] {
	const { width, height, margin } = PAPER;
	const top = height - margin - FOOT;
	const [legendX, blockX] = [margin + 126, width - margin - 62];
	const bottom = height - margin;
	return [
		shape("rect", { x: 0, y: 0, width, height, fill: "#ffffff" }),
		shape("rect", {
			x: margin,
			y: margin,
			width: width - 2 * margin,
			height: height - 2 * margin,
			fill: "none",
			...THIN,
		}),
		lineFrom([margin, top], [width - margin, top], THIN),
		lineFrom([legendX, top], [legendX, bottom], THIN),
		lineFrom([blockX, top], [blockX, bottom], THIN),
		...rows(margin + 2, top + 4, ["Cautions", ...cautionLines(sheet)]),
		...rows(legendX + 2, top + 4, ["How to read it", ...LEGEND, ...bars(list)]),
		...titleBlock(blockX + 2, top, sheet, place),
	];
}

/** A heading and lines under it. */
function rows(x: number, y: number, lines: readonly string[]): string[] {
	return lines.map((words, i) =>
		textAt([x, y + i * 3.4], words, {
			"font-size": SMALL,
			...(i === 0 ? { "font-weight": "bold" } : {}),
		}),
	);
}

const EVERY_SHEET = [
	"Local codes and licensed practice come first. No safety integrity level is claimed.",
	"Sizes and fuses are those of an invented example rig: check them for yours.",
];
/** Letters that fit beside the legend. */
const LINE = 92;

const cautionLines = ({ cautions }: Sheet) =>
	[...cautions, ...EVERY_SHEET].flatMap((words) => {
		const lines = [""];
		for (const word of words.split(" ")) {
			const last = lines.at(-1) ?? "";
			if (`${last} ${word}`.length > LINE) lines.push(`   ${word}`);
			else lines[lines.length - 1] = last === "" ? `• ${word}` : `${last} ${word}`;
		}
		return lines;
	});

const LEGEND = [
	"At each wire: number, colour, conductor in mm². Write the number",
	"at both ends. A dot joins; a crossing without a dot does not.",
	"An arrow leads to a bar X or to a part; + names one on another sheet.",
	"Grey box: outside the control box. Dashed: on the solder board.",
	"Z: its resistor from wire to pin, its capacitor from pin to foot.",
];

/** `X1 0 V black 1.5` */
const bars = ({ nets, functions }: Netlist) =>
	nets.flatMap(({ bar, name, mm2, function: of }) =>
		bar === undefined ? [] : [`${bar}: ${name}, ${functions[of]?.colour ?? ""} ${mm2} mm²`],
	);

function titleBlock(x: number, top: number, sheet: Sheet, { number, count, revision }: SheetPlace) {
	const at = (dy: number, words: string, size: number, bold = false) =>
		textAt([x, top + dy], words, { "font-size": size, ...(bold ? { "font-weight": "bold" } : {}) });
	const [first, rest] = halves(sheet.title);
	return [
		at(5, "Lees: control box of a polishing rig", 2.8),
		at(11, first, 3.3, true),
		at(16, rest, 3.3, true),
		at(23, `Sheet ${number} of ${count}: ${sheet.sheet}`, 2.8),
		at(28, `Revision ${revision}`, 2.8),
		at(33, "Tables and measuring: WIRING.md", SMALL),
	];
}

/** A title in two lines of at most about thirty letters. */
function halves(title: string): [string, string] {
	if (title.length <= 30) return [title, ""];
	const cut = title.lastIndexOf(" ", 30);
	return [title.slice(0, cut), title.slice(cut + 1)];
}
