// A part's box on a sheet: its name, its terminals, and the resistors that sit in it. Grey where
// the part is outside the control box. Pure; in mm.

import { type Point, shape } from "../../report/svg.ts";
import { endOf, type Netlist, type Part } from "../netlist.ts";
import { farEndTexts, nameOf, ratingText, terminalText } from "./part-words.ts";
import { type Box, isFlat, rowAfter } from "./sheet-plan.ts";

/** Height of letters, mm. */
export const FONT = 2.4;
/** Of the resistors at the far end. */
const FAR_FONT = 2.1;
/** From a row's middle to a box's edge, and down to the foot of its letters. */
const HALF = 2.2;
const DOWN = 0.85;
const INSET = 1.2;

export interface Frame {
	readonly x: number;
	readonly y: number;
	readonly width: number;
	readonly height: number;
}

export type Say = (
	point: Point,
	words: string,
	size: number,
	anchor: "start" | "middle" | "end",
	extra?: Readonly<Record<string, string | number>>,
) => void;

export interface BoxPen {
	readonly left: number;
	readonly right: number;
	readonly yOf: (row: number) => number;
	readonly say: Say;
	readonly body: string[];
}

export function drawBox(box: Box, list: Netlist, { left, right, yOf, say, body }: BoxPen): Frame {
	const { part } = endOf(list, `${box.part}.`);
	const top = yOf(box.row) - HALF;
	const height = yOf(rowAfter(box) - 1) + HALF - top;
	const frame = { x: left, y: top, width: right - left, height };
	const fill = part.zone === "control-box" ? "#ffffff" : "#e6e6e6";
	body.push(shape("rect", { ...frame, fill, stroke: "#000", "stroke-width": 0.35 }));
	const name = `${part.ref} ${boxName(box, part, list)}`;
	const bold = { "font-weight": "bold" };
	say([(left + right) / 2, yOf(box.row) + DOWN], name, FONT, "middle", bold);
	if (isFlat(box)) return frame;
	for (const [side, x, anchor] of [
		["left", left + INSET, "start"],
		["right", right - INSET, "end"],
	] as const) {
		for (const [i, terminal] of box[side].entries()) {
			if (terminal === "-") continue;
			say([x, yOf(box.row + 1 + i) + DOWN], terminalText(part, terminal, list), FONT, anchor);
		}
	}
	if (![...box.left, ...box.right].some((terminal) => FAR_END.has(terminal))) return frame;
	for (const [i, words] of farEndTexts(part, list).entries()) {
		say([right - INSET, yOf(box.row + 1 + i) + DOWN], words, FAR_FONT, "end");
	}
	return frame;
}

/** Terminals whose wires have resistors at this end. */
const FAR_END: ReadonlySet<string> = new Set(["out", "loop-out", "plus"]);

/** The part's own name; of what stands in rows of its like, the value alone. */
function boxName({ part: id, says }: Box, part: Part, list: Netlist): string {
	const rating = ratingText(part, list);
	if (part.kind === "resistor" || part.kind === "guard") return rating;
	return [nameOf(id, part), says, says === "coil" ? "" : rating].filter((one) => one).join(", ");
}
