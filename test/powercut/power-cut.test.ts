// The power is cut after every call that a run of the store makes, and what may then be on the disk
// is opened. The fault model stands in disk.ts.

import { mkdtempSync, rmSync } from "node:fs";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { textOf } from "../../firmware/log/record-text.ts";
import { type Cut, eachCut } from "./cuts.ts";
import { type Expected, faultsAfter } from "./judge.ts";
import type { Happening } from "./live-files.ts";
import { FILE, Play } from "./play.ts";
import { Narrator } from "./story.ts";

const SEED = 20261126;
const SCRATCH = mkdtempSync("/dev/shm/lees-power-cut-");
afterAll(() => rmSync(SCRATCH, { recursive: true, force: true }));

/** Small enough that a closed run of some minutes is too much. */
const BYTES_MAX = 60_000;

function judgeAll(happenings: readonly Happening[], expected: Expected, from = 0) {
	const faults: string[] = [];
	const judge = (cut: Cut) => {
		for (const fault of faultsAfter(cut, join(SCRATCH, "found"), expected)) {
			faults.push(`after call ${cut.prefix} (${cut.fates}): ${fault}`);
		}
	};
	const began = performance.now();
	const counts = eachCut(happenings, SEED, judge, from);
	console.log(counts, performance.now() - began);
	return { ...counts, faults };
}

/** A run of some minutes to its goal, and a second one that is under way. */
function firstBoot(): Narrator {
	const narrator = new Narrator([], null, 3);
	narrator.pass(1);
	narrator.world.polish({ litres: 6.5 });
	narrator.passUntil(({ name }) => name === "polishing");
	narrator.passUntil(({ name }) => name === "idle");
	narrator.world.polish();
	narrator.passUntil(({ name }) => name === "polishing");
	narrator.pass(4);
	return narrator;
}

/** Enough commits for a checkpoint, and some after it. */
function shortBoot(): Narrator {
	const narrator = new Narrator([], null, 2);
	narrator.pass(1);
	narrator.world.polish();
	narrator.passUntil(({ name }) => name === "polishing");
	narrator.pass(22, 1);
	return narrator;
}

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

describe("power cut", () => {
	it("loses nothing that was durable, whatever of the rest is on the disk", () => {
		const first = firstBoot();
		const second = secondBoot(first);
		const play = new Play(SCRATCH);
		play.chapter({ steps: first.steps, ends: "killed" });
		play.chapter({ steps: second.steps, ends: "closed", bytesMax: BYTES_MAX });
		const texts = [...first.records, ...second.records].map(textOf);
		const { faults } = judgeAll(play.happenings, { texts, broken: [] });
		expect(faults.slice(0, 20)).toEqual([]);
		expect(faults.length).toBe(0);
	}, 300_000);

	it("keeps a broken store, and tells of it until the new one has a record of that", () => {
		const play = new Play(SCRATCH);
		play.chapter({ steps: shortBoot().steps, ends: "killed" });
		play.rest();
		play.garble(FILE, 4096, new Uint8Array(8192).fill(0xa5));
		const broken = [FILE, `${FILE}-wal`].map((name) => play.content(name));
		const from = play.happenings.length;
		const again = new Narrator([], "the log was unreadable", 1);
		again.pass(1);
		play.chapter({ steps: again.steps, ends: "closed" });
		console.log(
			play.happenings.slice(from).map((h) => ({ ...h, bytes: "bytes" in h ? h.bytes.length : 0 })),
		);
		const texts = again.records.map(textOf);
		const { faults } = judgeAll(play.happenings, { texts, broken }, from);
		expect(faults.slice(0, 20)).toEqual([]);
		expect(faults.length).toBe(0);
	}, 300_000);
});
