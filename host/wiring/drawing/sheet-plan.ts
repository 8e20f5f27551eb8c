// Which terminal stands where on which sheet: schema and reader of hardware/wiring-sheets.yaml,
// held to the netlist. Pure: text and netlist in, plan or InputError out.

import * as z from "zod";
import { readDocument } from "../../../firmware/config/document.ts";
import { InputError, type Problem } from "../../../firmware/config/input-error.ts";
import type { Netlist } from "../netlist.ts";

/** Rows that a sheet has room for. */
export const ROWS = 27;
const FREE = "-";

const terminals = z.array(z.string().min(1)).max(ROWS).default([]);
const boxSchema = z.strictObject({
	part: z.string().min(1),
	row: z.int().min(1).max(ROWS),
	says: z.string().min(1).max(20).optional().describe("which side of the part this is"),
	left: terminals,
	right: terminals,
});
const sheetSchema = z.strictObject({
	sheet: z.string().regex(/^wiring-[a-z-]+$/),
	title: z.string().min(5).max(60),
	cautions: z.array(z.string().min(5).max(110)).min(1).max(6),
	gaps: z.array(z.number().min(0.5).max(2)).max(4).optional().describe("shares of the room"),
	columns: z
		.array(
			z.strictObject({
				width: z.number().min(20).max(60).describe("mm"),
				boxes: z.array(boxSchema).min(1),
			}),
		)
		.min(2)
		.max(5),
});

export type Box = Readonly<z.infer<typeof boxSchema>>;
export type Sheet = Readonly<z.infer<typeof sheetSchema>>;

/** Where a wire leaves a box. */
export interface Port {
	readonly end: string;
	readonly column: number;
	readonly side: "left" | "right";
	readonly row: number;
}

/** One terminal a side: drawn in a single row. */
export const isFlat = ({ left, right }: Box): boolean => left.length <= 1 && right.length <= 1;
/** Row below the box's last one. */
export const rowAfter = (box: Box): number =>
	box.row + (isFlat(box) ? 1 : 1 + Math.max(box.left.length, box.right.length));

export function portsOf({ columns }: Sheet): Port[] {
	return columns.flatMap(({ boxes }, column) =>
		boxes.flatMap((box) => {
			const first = box.row + (isFlat(box) ? 0 : 1);
			const on = (side: "left" | "right") =>
				box[side].flatMap((terminal, i) =>
					terminal === FREE
						? []
						: [{ end: `${box.part}.${terminal}`, column, side, row: first + i }],
				);
			return [...on("left"), ...on("right")];
		}),
	);
}

/**
 * @throws InputError also where a terminal stands on no sheet or on two, or boxes overlap
 */
export function readSheets(text: string, file: string, list: Netlist): Sheet[] {
	const { value, problem } = readDocument(text, file, z.array(sheetSchema).min(1));
	const problems: Problem[] = [];
	const seen = new Map<string, number>();
	for (const [i, sheet] of value.entries()) {
		if (sheet.gaps !== undefined && sheet.gaps.length !== sheet.columns.length - 1) {
			problems.push(problem([i, "gaps"], "one share a gap"));
		}
		for (const [j, { boxes }] of sheet.columns.entries()) {
			const sorted = [...boxes].sort((a, b) => a.row - b.row);
			for (const [k, box] of sorted.entries()) {
				const next = sorted[k + 1]?.row ?? ROWS + 1;
				const path = [i, "columns", j, "boxes", boxes.indexOf(box)];
				if (!(box.part in list.parts)) problems.push(problem([...path, "part"], "a part"));
				if (rowAfter(box) > next)
					problems.push(problem(path, `a box that ends before row ${next}`));
				const outside = j === 0 ? box.left : j === sheet.columns.length - 1 ? box.right : [];
				if (outside.length > 0) problems.push(problem(path, "no terminal at the paper's edge"));
			}
		}
		for (const { end } of portsOf(sheet)) seen.set(end, (seen.get(end) ?? 0) + 1);
	}
	for (const end of list.netAt.keys()) {
		if (seen.get(end) !== 1) {
			const found = `${end} on ${seen.get(end) ?? 0} sheets`;
			problems.push({ file, found, allowed: "each terminal on one sheet" });
		}
	}
	for (const end of seen.keys()) {
		if (!list.netAt.has(end)) {
			problems.push({ file, found: `${end}, which no net has`, allowed: "terminals of nets" });
		}
	}
	if (problems.length > 0) throw new InputError(problems);
	return value;
}
