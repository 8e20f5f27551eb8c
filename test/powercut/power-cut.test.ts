// The power is cut after every call that a run of the store makes, and what may then be on the disk
// is opened. The fault model stands in disk.ts. Spoilt rules show that the proof would find them.

import { mkdtempSync, rmSync } from "node:fs";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { digestIn } from "../../firmware/log/digest.ts";
import { textOf } from "../../firmware/log/record-text.ts";
import { openStore } from "../../firmware/log/store-opening.ts";
import { cutsOf } from "./cuts.ts";
import { type Expected, faultsAfter, openAfter } from "./judge.ts";
import type { Happening } from "./live-files.ts";
import { FILE, Play } from "./play.ts";
import { Narrator } from "./story.ts";

const SEED = 20261126;
/** Of a store in which a run of some minutes is too much. */
const BYTES_MAX = 45_000;
/** Of the states after a first cut, how many are left out between two that are gone on from. */
const CUT_EVERY = 250;
const TIMEOUT_MS = 240_000;

const scratch = mkdtempSync("/dev/shm/lees-power-cut-");
const found = join(scratch, "found");
afterAll(() => rmSync(scratch, { recursive: true, force: true }));

interface Verdict {
	readonly faults: readonly string[];
	readonly distinct: number;
}

/** Judges every state; prints what there was to judge. */
function judge(
	title: string,
	happenings: readonly Happening[],
	expected: Expected,
	{ from = 0, faultsMax = Number.POSITIVE_INFINITY } = {},
): Verdict {
	const began = performance.now();
	const counts = { prefixes: 0, states: 0, distinct: 0 };
	const faults: string[] = [];
	for (const cut of cutsOf(happenings, SEED, from, counts)) {
		for (const fault of faultsAfter(cut, found, expected)) {
			faults.push(`after call ${cut.prefix} (${cut.fates}): ${fault}`);
		}
		if (faults.length >= faultsMax) break;
	}
	const { prefixes, states, distinct } = counts;
	const seconds = ((performance.now() - began) / 1000).toFixed(1);
	console.log(
		`${title}: ${prefixes} prefixes, ${states} states, ${distinct} of them distinct, ` +
			`${faults.length} faults, ${seconds} s`,
	);
	return { faults, distinct };
}

/** A run of some minutes to its goal, and a second one that is under way. */
function firstBoot(): Narrator {
	const narrator = new Narrator([], null, 3);
	narrator.pass(1);
	narrator.world.polish({ litres: 4.5 });
	narrator.passUntil(({ name }) => name === "polishing");
	narrator.passUntil(({ name }) => name === "idle");
	narrator.world.polish();
	narrator.passUntil(({ name }) => name === "polishing");
	narrator.pass(4);
	return narrator;
}

/** Finds the second run interrupted, and runs once more. */
function secondBoot(first: Narrator): Narrator {
	const narrator = new Narrator(first.records, null, 3);
	narrator.pass(1);
	narrator.world.pressAcknowledge();
	narrator.pass(2);
	narrator.world.polish({ litres: 0.3 });
	narrator.passUntil(({ name }) => name === "polishing");
	narrator.passUntil(({ name }) => name === "idle");
	return narrator;
}

/** Enough commits for a checkpoint, and some after it. */
function shortBoot(): Narrator {
	const narrator = new Narrator([], null, 1);
	narrator.pass(1);
	narrator.world.polish();
	narrator.passUntil(({ name }) => name === "polishing");
	narrator.pass(22, 1);
	return narrator;
}

const textsOf = (...boots: readonly Narrator[]) =>
	boots.flatMap(({ records }) => records.map(textOf));

describe("a power cut", () => {
	const first = firstBoot();
	const second = secondBoot(first);
	const play = new Play(scratch);
	play.chapter({ steps: first.steps, ends: "killed" });
	play.chapter({ steps: second.steps, ends: "closed", bytesMax: BYTES_MAX });

	it("comes while a store is made, written, checkpointed, opened again, thinned, closed", () => {
		const { live, happenings } = play;
		const walBegins = happenings.filter(
			(event) => event.type === "write" && event.offset === 0 && event.bytes.length === 32,
		);
		// The first, and one after each checkpoint.
		expect(walBegins.length).toBeGreaterThan(1);
		const file = live.inodeOf(join(play.folder, FILE));
		const pages = happenings.filter((event) => event.type === "write" && event.file === file);
		expect(pages.length).toBeGreaterThan(20);
		const { store } = openStore(join(play.folder, FILE));
		const digests = store.read(1, 10_000).flatMap(({ json }) => digestIn(json) ?? []);
		store.close();
		expect(digests.length).toBeGreaterThan(0);
	});

	it(
		"loses nothing that was durable, whatever of the rest is on the disk",
		() => {
			const expected = { texts: textsOf(first, second), broken: [] };
			const { faults, distinct } = judge("a life of a store", play.happenings, expected);
			expect(faults).toEqual([]);
			expect(distinct).toBeGreaterThan(5_000);
		},
		TIMEOUT_MS,
	);
});

describe("a power cut while a broken store is set aside", () => {
	const play = new Play(scratch);
	play.chapter({ steps: shortBoot().steps, ends: "killed" });
	play.rest();
	play.garble(FILE, 4096, new Uint8Array(8192).fill(0xa5));
	const from = play.happenings.length;
	const broken = [FILE, `${FILE}-wal`].map((name) => play.content(name));
	const again = new Narrator([], "the log was unreadable", 1);
	again.pass(1);
	play.chapter({ steps: again.steps, ends: "closed" });

	it("is one of a database with a write-ahead log, under new names since", () => {
		for (const content of broken) expect(content.length).toBeGreaterThan(8192);
		const renames = play.happenings.filter(
			(event) => event.type === "entry" && event.removes !== null && event.adds !== null,
		);
		expect(renames.length).toBe(2);
	});

	it(
		"keeps it byte for byte, and its loss is told until the new store has a record of it",
		() => {
			const expected = { texts: textsOf(again), broken };
			const { faults, distinct } = judge("setting aside", play.happenings, expected, { from });
			expect(faults).toEqual([]);
			expect(distinct).toBeGreaterThan(300);
		},
		TIMEOUT_MS,
	);
});

describe("a second power cut", () => {
	it(
		"while the first is recovered from loses nothing either",
		() => {
			const boot = shortBoot();
			const once = new Play(scratch);
			once.chapter({ steps: boot.steps, ends: "killed" });
			const counts = { prefixes: 0, states: 0, distinct: 0 };
			const cuts = [...cutsOf(once.happenings, SEED, 0, counts)];
			for (let i = CUT_EVERY; i < cuts.length; i += CUT_EVERY) {
				const cut = cuts[i];
				if (cut === undefined) continue;
				const again = new Play(scratch);
				again.lay(cut);
				const from = again.happenings.length - 1;
				const { store, last } = openAfter(cut, found);
				store.close();
				const second = new Narrator(boot.records.slice(0, last.seq), null, 1);
				second.pass(1);
				again.chapter({ steps: second.steps, ends: "closed" });
				const texts = [...boot.records.slice(0, last.seq), ...second.records].map(textOf);
				const title = `a second cut after call ${cut.prefix}`;
				const { faults } = judge(title, again.happenings, { texts, broken: [] }, { from });
				expect(faults).toEqual([]);
			}
		},
		TIMEOUT_MS,
	);
});

describe("the proof finds", () => {
	const boot = shortBoot();
	const expected = { texts: textsOf(boot), broken: [] };
	const played = (spoilt: string) => {
		const play = new Play(scratch);
		play.chapter({ steps: boot.steps, ends: "killed", spoilt });
		return play;
	};
	const faultsOf = (title: string, happenings: readonly Happening[]) =>
		judge(title, happenings, expected, { faultsMax: 1 }).faults.join();
	const asItIs = played("");

	it("nothing where nothing is spoilt", () => {
		expect(judge("nothing spoilt", asItIs.happenings, expected).faults).toEqual([]);
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
