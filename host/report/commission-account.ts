// Which steps of commissioning a rig has, which are due and why: as the terminal prints it and as
// `lees commission --list --json` does. Pure; imports the steps.

import * as z from "zod";
import type { ProofList } from "../../firmware/commission/schemas.ts";
import { stepRows } from "../../firmware/commission/step-rows.ts";
import { wrap } from "./account.ts";
import { groupOf, groups } from "./commission-steps.ts";

const COLUMNS = 80;

export const commissionAnswer = z.strictObject({
	rig: z.string(),
	isCommissioned: z.boolean().describe("no step is due"),
	steps: z.array(
		z.strictObject({
			step: z.string(),
			title: z.string(),
			group: z.enum(groups),
			due: z.nullable(z.string()).describe("why it is due; null while it holds"),
			passedAt: z
				.nullable(z.string())
				.describe("when it last passed, local time as 2026-11-29T10:00; null: never"),
		}),
	),
});

export type CommissionAnswer = z.infer<typeof commissionAnswer>;

export function commissionOf(rig: string, rows: ProofList["rows"]): CommissionAnswer {
	const steps = rows.map(({ step, due, passedAt }) => {
		return { step, title: stepRows[step].title, group: groupOf(step), due, passedAt };
	});
	return { rig, isCommissioned: steps.every(({ due }) => due === null), steps };
}

/** @param port as it was typed: where a person is led through what is due */
export function commissionLines({ rig, steps }: CommissionAnswer, port: string): string[] {
	const due = steps.filter((step) => step.due !== null).length;
	const width = Math.max(0, ...steps.map(({ step }) => step.length));
	return [
		`Commissioning of ${rig}`,
		...groups.flatMap((group) => {
			const own = steps.filter((step) => step.group === group);
			const lines = own.flatMap((step) => stepLines(step, width));
			return own.length === 0 ? [] : ["", group.toUpperCase(), ...lines];
		}),
		"",
		...(due === 0
			? ["Every step is passed and none is due."]
			: [
					`${due} of ${steps.length} steps are due; an order that nobody attends is refused.`,
					`One at a time, at the rig: lees commission ${port}`,
				]),
	];
}

/** The step's name, what it proves, and how that stands. */
function stepLines(
	{ step, title, due, passedAt }: CommissionAnswer["steps"][number],
	width: number,
): string[] {
	const start = `  ${due === null ? "done" : "DUE "}  ${step.padEnd(width)}  `;
	const passed = passedAt === null ? [] : [`passed ${passedAt.replace("T", " ")}`];
	const text = [title, ...passed, ...(due === null ? [] : [due])].join("; ");
	const rows = wrap(text, COLUMNS - start.length);
	return rows.map((row, i) => (i === 0 ? start : " ".repeat(start.length)) + row);
}
