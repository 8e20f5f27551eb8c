// The scores as they are kept in scores.json, and what is wrong with them: a source that has
// changed since, a goal that is missed or no longer the score's own, a score that is not there.

import { createHash } from "node:crypto";
import * as z from "zod";
import { missesOf, type Score } from "./score.ts";

export const SCORES_FILE = "test/score/scores.json";

const goalSchema = z.strictObject({
	figure: z.string(),
	atMost: z.number().optional(),
	atLeast: z.number().optional(),
	words: z.string(),
});

const goalsSchema = z.array(goalSchema);

const keptSchema = z.strictObject({
	title: z.string(),
	figures: z.record(z.string(), z.number()),
	goals: goalsSchema,
	/** Of each file that was measured, comments left out. */
	sha256: z.record(z.string(), z.string().regex(/^[0-9a-f]{64}$/)),
});

export const scoresSchema = z.record(z.string(), keptSchema);

export type Kept = z.infer<typeof keptSchema>;
export type Read = (file: string) => string;

/** Of each file without its lines of comment: better words change no figure. */
export function hashesOf(files: readonly string[], read: Read): Record<string, string> {
	const code = (file: string) => read(file).replace(/^[ \t]*(\/\/|\/\*\*|\*).*\n/gm, "");
	const hash = (file: string) => createHash("sha256").update(code(file)).digest("hex");
	return Object.fromEntries(files.map((file) => [file, hash(file)]));
}

/** In words, one problem each; empty while every score is kept, fresh and good. */
export function problemsOf(
	scores: readonly Score[],
	kept: Readonly<Record<string, Kept>>,
	read: Read,
): string[] {
	const problems = scores.flatMap((score) => {
		const found = kept[score.name];
		if (found === undefined) return [`${score.name}: not measured`];
		const own = goalsSchema.parse(score.goals);
		const ownGoals = JSON.stringify(found.goals) === JSON.stringify(own);
		return [
			...staleIn(score, found, read),
			...(ownGoals ? [] : ["its goals have changed since it was measured"]),
			...missesOf(score.goals, found.figures),
		].map((words) => `${score.name}: ${words}`);
	});
	const names = scores.map(({ name }) => name);
	const gone = Object.keys(kept).filter((name) => !names.includes(name));
	return [...problems, ...gone.map((name) => `${name}: kept, but no score any more`)];
}

/** What has changed since it was measured, in words. */
export function staleIn({ measures }: Score, { sha256 }: Kept, read: Read): string[] {
	const now = hashesOf(measures, read);
	const files = [...new Set([...measures, ...Object.keys(sha256)])];
	return files
		.filter((file) => now[file] !== sha256[file])
		.map((file) => `${file} changed since it was measured`);
}
