// What is wrong with a report of the mutation run: a hash that is no longer true, a mutant that no
// test noticed, a branch that none took. The report is made by `npm run mutation`.

import { createHash } from "node:crypto";
import * as z from "zod";

const count = z.number().int().min(0);
const sha256 = z.string().regex(/^[0-9a-f]{64}$/);
const path = z.string().min(1);

const fileSchema = z.strictObject({
	sha256,
	mutants: count.min(1),
	killed: count,
	timeout: count,
	equivalents: z.array(
		z.strictObject({
			line: z.string().min(1),
			mutator: z.string().min(1),
			replacement: z.string(),
			reason: z.string().min(20),
		}),
	),
	branches: z.strictObject({ covered: count, total: count }),
});

export const reportSchema = z.strictObject({
	tools: z.record(z.string(), z.string()),
	/** Tests and settings, each with its hash. */
	measuredWith: z.record(path, sha256),
	files: z.record(path, fileSchema),
});

export type MutationReport = z.infer<typeof reportSchema>;

/** What the tree is now. */
export interface Tree {
	/** The sources that the settings name. */
	readonly sources: readonly string[];
	/** The tests and settings that there are. */
	readonly measuring: readonly string[];
	readonly read: (file: string) => string;
}

/** In words, one problem each; empty when the report is fresh and nothing survived. */
export function problemsOf(report: MutationReport, { sources, measuring, read }: Tree): string[] {
	const problems: string[] = [];
	const lack = (there: readonly string[], known: readonly string[], words: string) =>
		problems.push(...there.filter((file) => !known.includes(file)).map((f) => `${f}: ${words}`));
	const measured = Object.keys(report.files);
	const measuredWith = Object.keys(report.measuredWith);
	lack(sources, measured, "not measured");
	lack(measured, sources, "measured, but not named in the settings");
	lack(measuring, measuredWith, "new since it was measured");
	lack(measuredWith, measuring, "gone since it was measured");

	const stale = (file: string, hash: string) =>
		createHash("sha256").update(read(file)).digest("hex") === hash
			? []
			: [`${file}: changed since it was measured`];
	const known = measuredWith.filter((file) => measuring.includes(file));
	for (const file of known) problems.push(...stale(file, report.measuredWith[file] ?? ""));

	for (const [file, row] of Object.entries(report.files)) {
		if (!sources.includes(file)) continue;
		problems.push(...stale(file, row.sha256));
		const survived = row.mutants - row.killed - row.timeout - row.equivalents.length;
		if (survived !== 0) problems.push(`${file}: ${survived} mutants that no test noticed`);
		const open = row.branches.total - row.branches.covered;
		if (open !== 0) problems.push(`${file}: ${open} branches that no test took`);
	}
	return problems;
}
