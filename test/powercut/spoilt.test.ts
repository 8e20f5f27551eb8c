// What the proof of power cuts can find: spoilt rules, each with the fault that it must show. And a
// second cut, while a store recovers from the first.

import { mkdtempSync, rmSync } from "node:fs";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { textOf } from "../../firmware/log/record-text.ts";
import { openAfter } from "./judge.ts";
import type { Happening } from "./live-files.ts";
import { Play } from "./play.ts";
import { Narrator, shortBoot, textsOf } from "./story.ts";
import { judgeAll, someCuts } from "./verdict.ts";

/** Of the disks after a first cut, one of so many is gone on from. */
const CUT_EVERY = 250;
const TIMEOUT_MS = 120_000;

const scratch = mkdtempSync("/dev/shm/lees-spoilt-");
const found = join(scratch, "found");
afterAll(() => rmSync(scratch, { recursive: true, force: true }));

const boot = shortBoot();
const played = (spoilt: string) => {
	const play = new Play(scratch);
	play.chapter({ steps: boot.steps, ends: "killed", spoilt });
	return play;
};
const asItIs = played("");

describe("a second power cut", () => {
	it(
		"while the first is recovered from loses nothing either",
		() => {
			const cuts = someCuts(asItIs.happenings, CUT_EVERY);
			expect(cuts.length).toBeGreaterThan(3);
			for (const cut of cuts) {
				const again = new Play(scratch);
				again.lay(cut);
				// With the answer of before the first cut.
				const from = again.happenings.length - 1;
				const { store, last } = openAfter(cut, found);
				store.close();
				const earlier = boot.records.slice(0, last.seq);
				const second = new Narrator(earlier, null, 1);
				second.pass(1);
				again.chapter({ steps: second.steps, ends: "closed" });
				const texts = [...earlier, ...second.records].map(textOf);
				const title = `a second cut after call ${cut.prefix}`;
				const expected = { texts, broken: [] };
				const { faults } = judgeAll(title, again.happenings, expected, found, { from });
				expect(faults).toEqual([]);
			}
		},
		TIMEOUT_MS,
	);
});

describe("the proof finds", () => {
	const expected = { texts: textsOf(boot), broken: [] };
	const faultsOf = (title: string, happenings: readonly Happening[]) =>
		judgeAll(title, happenings, expected, found, { faultsMax: 1 }).faults.join();

	it("nothing where nothing is spoilt", () => {
		expect(judgeAll("nothing spoilt", asItIs.happenings, expected, found).faults).toEqual([]);
	}, 60_000);

	it("synchronous=NORMAL", () => {
		const { happenings } = played("synchronous-normal");
		const syncs = (list: readonly Happening[]) => list.filter(({ type }) => type === "sync").length;
		expect(syncs(happenings)).toBeLessThan(syncs(asItIs.happenings) / 2);
		expect(faultsOf("synchronous=NORMAL", happenings)).toContain("was durable");
	});

	it("an answer before the commit", () => {
		const { happenings } = played("answer-before-commit");
		expect(faultsOf("answer before commit", happenings)).toContain("was durable");
	});

	it("folders that are not synced", () => {
		const { happenings, live } = asItIs;
		const spoilt = happenings.filter(
			(event) => event.type !== "sync" || !live.isFolder(event.inode),
		);
		expect(spoilt.length).toBeLessThan(happenings.length);
		expect(faultsOf("no folder synced", spoilt)).toContain("was durable");
	});

	it("a log folder whose own name is not synced", () => {
		const { happenings } = asItIs;
		const spoilt = happenings.filter((event) => event.type !== "sync" || event.inode !== 0);
		expect(spoilt.length).toBeLessThan(happenings.length);
		expect(faultsOf("the log folder's name not synced", spoilt)).toContain("was durable");
	});
});
