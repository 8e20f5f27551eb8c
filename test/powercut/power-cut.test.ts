// The power is cut after every call that a run of the store makes, and what may then be on the disk
// is opened. The fault model stands in disk.ts.

import { mkdtempSync, rmSync } from "node:fs";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { digestIn } from "../../firmware/log/digest.ts";
import { openStore } from "../../firmware/log/store-opening.ts";
import { FILE, Play } from "./play.ts";
import { firstBoot, Narrator, secondBoot, shortBoot, textsOf } from "./story.ts";
import { judgeAll } from "./verdict.ts";

/** Of a store in which a run of some minutes is too much. */
const BYTES_MAX = 40_000;
const TIMEOUT_MS = 240_000;

const scratch = mkdtempSync("/dev/shm/lees-power-cut-");
const found = join(scratch, "found");
afterAll(() => rmSync(scratch, { recursive: true, force: true }));

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
			const { faults, distinct } = judgeAll("a life of a store", play.happenings, expected, found);
			expect(faults).toEqual([]);
			expect(distinct).toBeGreaterThan(5_000);
		},
		TIMEOUT_MS,
	);
});

describe("a power cut after a controller was killed as it made its folder", () => {
	it("loses nothing of the next one", () => {
		const boot = new Narrator([], null, 0);
		boot.pass(1);
		const play = new Play(scratch);
		play.makeFolder();
		play.chapter({ steps: boot.steps, ends: "closed" });
		const expected = { texts: textsOf(boot), broken: [] };
		const { faults } = judgeAll("a folder of before", play.happenings, expected, found);
		expect(faults).toEqual([]);
	});
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
			const { faults, distinct } = judgeAll("setting aside", play.happenings, expected, found, {
				from,
			});
			expect(faults).toEqual([]);
			expect(distinct).toBeGreaterThan(300);
		},
		TIMEOUT_MS,
	);
});
