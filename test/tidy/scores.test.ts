// The committed scores are about this very tree, and every goal is met: else `npm run score`. The
// check itself can fail: each way is tried.

import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { problemsOf, SCORES_FILE, scoresSchema } from "../score/kept.ts";
import type { Score } from "../score/score.ts";
import { scores } from "../score/scores.ts";
import { root } from "../stories/world.ts";

const read = (file: string) => readFileSync(join(root, file), "utf8");
const kept = scoresSchema.parse(JSON.parse(read(SCORES_FILE)));

it("every score is fresh and every goal is met: else `npm run score`", () => {
	expect(problemsOf(scores, kept, read)).toEqual([]);
});

it("no two scores have one name", () => {
	const names = scores.map(({ name }) => name);
	expect(new Set(names).size).toBe(names.length);
});

describe("the check finds", () => {
	const goal = { figure: "delayS", atMost: 6, words: "from air to pump off" };
	const score: Score = {
		name: "delay",
		title: "Delay",
		measures: ["a.ts"],
		goals: [goal],
		run: async () => ({ figures: { delayS: 4 } }),
	};
	// Of the text "a", by sha256sum.
	const a = "ca978112ca1bbdcafac231b39a23dc4da786eff8147c4e72b9807785afee48bb";
	const good = { title: "Delay", figures: { delayS: 4 }, goals: [goal], sha256: { "a.ts": a } };
	const readA = () => "a";
	const found = (change: Partial<typeof good>) =>
		problemsOf([score], { delay: { ...good, ...change } }, readA);

	it("nothing where nothing is wrong", () => {
		expect(found({})).toEqual([]);
	});

	it("a source that has changed, and one that is new", () => {
		expect(problemsOf([score], { delay: good }, () => "b")).toEqual([
			"delay: a.ts changed since it was measured",
		]);
		expect(found({ sha256: {} as typeof good.sha256 })).toEqual([
			"delay: a.ts changed since it was measured",
		]);
	});

	it("a goal that is missed, and a figure that is not there", () => {
		expect(found({ figures: { delayS: 6.5 } })).toEqual([
			"delay: delayS is 6.5, not at most 6: from air to pump off",
		]);
		expect(problemsOf([score], { delay: { ...good, figures: {} } }, readA)).toEqual([
			"delay: delayS: not measured",
		]);
	});

	it("no change in a comment", () => {
		const words = () => "// What it is.\n/** And this. */\na";
		expect(problemsOf([score], { delay: good }, words)).toEqual([]);
	});

	it("goals that were moved after the run", () => {
		expect(found({ goals: [{ ...goal, atMost: 9 }] })).toEqual([
			"delay: its goals have changed since it was measured",
		]);
	});

	it("a score that is not measured, and one that is no more", () => {
		expect(problemsOf([score], {}, readA)).toEqual(["delay: not measured"]);
		expect(problemsOf([], { delay: good }, readA)).toEqual(["delay: kept, but no score any more"]);
	});
});
