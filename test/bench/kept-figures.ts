// The figures of `npm run bench` as they are kept in figures.json, part by part, each with its day
// and its machine; and the table of them that DEVELOPERS.md carries, which `npm run docs` writes.

import * as z from "zod";
import { table } from "../../host/report/tables.ts";
import { figureCells, figureHead } from "./table.ts";

export const FIGURES_FILE = "test/bench/figures.json";

const figureSchema = z.strictObject({
	what: z.string().min(1),
	shown: z.string().min(1),
	goal: z.string().min(1),
	met: z.boolean(),
	peer: z.string().optional(),
	ratio: z.number().optional(),
});

const machineSchema = z.strictObject({
	processor: z.string(),
	cores: z.int().min(1),
	memoryGib: z.number(),
	kernel: z.string(),
	node: z.string(),
});

const keptSchema = z.strictObject({
	date: z.iso.date(),
	machine: machineSchema,
	/** Mean number of running processes in the last minute, before and after the part. */
	load: z.strictObject({ before: z.number(), after: z.number() }),
	figures: z.array(figureSchema).min(1),
});

export const figuresSchema = z.record(z.string(), keptSchema);

export type Machine = z.infer<typeof machineSchema>;
export type KeptPart = z.infer<typeof keptSchema>;
export type KeptFigures = Readonly<Record<string, KeptPart>>;

export function machineWords({ processor, cores, memoryGib, kernel, node }: Machine): string {
	return `${processor}, ${cores} cores, ${memoryGib.toFixed(1)} GiB, ${kernel}, Node ${node}`;
}

/** Figures with their day and the load beside them, and below the machines that they are of. */
export function figuresTable(kept: KeptFigures): string {
	const all = Object.values(kept);
	const machines = [...new Set(all.map(({ machine }) => machineWords(machine)))];
	const rows = all.flatMap(({ date, load, figures, machine }) =>
		figures.map((figure) => [
			...figureCells(figure),
			date,
			`${load.before.toFixed(1)} to ${load.after.toFixed(1)}`,
			...(machines.length > 1 ? [machines.indexOf(machineWords(machine)) + 1] : []),
		]),
	);
	const more = machines.length > 1 ? ["machine"] : [];
	const list = machines.map((words, i) => `${machines.length > 1 ? `${i + 1}: ` : ""}${words}.`);
	return [table([[...figureHead, "measured", "load", ...more], ...rows]), "", ...list].join("\n");
}

/** What is wrong with what is kept: a part that is not measured, one that is no more. */
export function figureProblems(names: readonly string[], kept: KeptFigures): string[] {
	const gone = Object.keys(kept).filter((name) => !names.includes(name));
	return [
		...names.filter((name) => kept[name] === undefined).map((name) => `${name}: not measured`),
		...gone.map((name) => `${name}: kept, but no part any more`),
	];
}
