// `npm run score`: measures what has changed since it was last measured, or the scores that are
// named, or with `--force` all of them. Keeps figures, goals and the hashes of what was measured in
// scores.json, drawings beside it. Ends with 1 when a goal is missed, with 2 for a wrong name.

import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { projectRoot } from "../../host/cli/root.ts";
import { hashesOf, type Kept, SCORES_FILE, scoresSchema, staleIn } from "./kept.ts";
import { missesOf, type Score } from "./score.ts";
import { scores } from "./scores.ts";

const read = (file: string) => readFileSync(join(projectRoot, file), "utf8");
const words = process.argv.slice(2);
const force = words.includes("--force");
const named = words.filter((word) => word !== "--force");
const unknown = named.filter((name) => scores.every((score) => score.name !== name));
if (unknown.length > 0) {
	const names = scores.map(({ name }) => name).join(", ");
	console.error(`no score ${unknown.join(", ")}; there are ${names}`);
	process.exit(2);
}

const before = scoresSchema.parse(JSON.parse(read(SCORES_FILE)));
const kept: Record<string, Kept> = {};
for (const { name } of scores) {
	const found = before[name];
	if (found !== undefined) kept[name] = found;
}
const missed: string[] = [];
for (const score of scores) {
	const found = kept[score.name];
	const isStale = found === undefined || staleIn(score, found, read).length > 0;
	const isWanted = named.length > 0 ? named.includes(score.name) : force || isStale;
	const result = isWanted ? await measure(score) : found;
	if (result === undefined) continue;
	if (!isWanted) console.log(`${score.name}: unchanged since it was measured`);
	kept[score.name] = result;
	const misses = missesOf(score.goals, result.figures);
	missed.push(...misses.map((miss) => `${score.name}: ${miss}`));
	// After each, so that an interrupted run keeps what it has.
	writeFileSync(join(projectRoot, SCORES_FILE), `${JSON.stringify(kept, null, "\t")}\n`);
}
for (const miss of missed) console.error(`missed: ${miss}`);
process.exitCode = missed.length === 0 ? 0 : 1;

async function measure(score: Score): Promise<Kept> {
	const { name, title, measures, goals } = score;
	const began = Date.now();
	// Before the run: what is edited meanwhile shows as changed.
	const sha256 = hashesOf(measures, read);
	const { figures, drawings = {} } = await score.run();
	for (const [file, text] of Object.entries(drawings)) {
		writeFileSync(join(projectRoot, "test/score", file), text);
	}
	console.log(`${name}: ${title}, ${((Date.now() - began) / 60_000).toFixed(1)} min`);
	for (const [figure, value] of Object.entries(figures)) console.log(`  ${figure} ${value}`);
	return { title, figures: { ...figures }, goals: [...goals], sha256 };
}
