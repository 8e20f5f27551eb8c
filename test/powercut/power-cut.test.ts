// The power is cut after every call that a run of the store makes, and what may then be on the disk
// is opened. The fault model stands in disk.ts.

import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { textOf } from "../../firmware/log/record-text.ts";
import { root } from "../stories/world.ts";
import { type Cut, eachCut } from "./cuts.ts";
import { FOLDER, faultsAfter } from "./judge.ts";
import { type Happening, LiveFiles } from "./live-files.ts";
import { Narrator } from "./story.ts";
import { record } from "./trace.ts";
import type { Chapter } from "./workload.ts";

const SEED = 20261126;
/** In memory: a sync costs nothing there, and asks for the same calls. */
const scratch = mkdtempSync("/dev/shm/lees-power-cut-");
afterAll(() => rmSync(scratch, { recursive: true, force: true }));

/** Chapters one after the other on the same disk. */
class Play {
	readonly happenings: Happening[] = [];
	private readonly home = mkdtempSync(join(scratch, "play-"));
	private readonly disk = join(this.home, "disk");
	private readonly live: LiveFiles;

	constructor() {
		mkdirSync(this.disk);
		this.live = new LiveFiles(this.disk, join(this.home, "ack"));
	}

	chapter(narrator: Narrator, ends: Chapter["ends"], worker: string): void {
		const chapter: Chapter = {
			folder: join(this.disk, FOLDER),
			ackFile: join(this.home, "ack"),
			worker,
			steps: narrator.steps,
			ends,
		};
		const chapterFile = join(this.home, "chapter.json");
		writeFileSync(chapterFile, JSON.stringify(chapter));
		const workload = join(root, ".build/test/powercut/workload.js");
		const command = [process.execPath, workload, chapterFile];
		this.happenings.push(...this.live.follow(record(command, join(this.home, "trace"))));
	}
}

function firstBoot(): Narrator {
	const narrator = new Narrator([], 2);
	narrator.pass(1);
	narrator.world.polish({ litres: 0.2 });
	narrator.passUntil(({ name }) => name === "polishing");
	narrator.passUntil(({ name }) => name === "idle");
	narrator.world.polish();
	narrator.passUntil(({ name }) => name === "polishing");
	narrator.pass(11);
	return narrator;
}

describe("power cut", () => {
	it("loses nothing that was durable, whatever of the rest is on the disk", () => {
		const began = performance.now();
		const first = firstBoot();
		const play = new Play();
		play.chapter(first, "killed", "checkpoint-pages=40");
		const t1 = performance.now();
		const texts = first.records.map(textOf);
		const faults: string[] = [];
		const judge = (cut: Cut) => {
			for (const fault of faultsAfter(cut, join(scratch, "found"), texts)) {
				faults.push(`after call ${cut.prefix} (${cut.fates}): ${fault}`);
			}
		};
		const counts = eachCut(play.happenings, SEED, judge);
		console.log(
			counts,
			first.records.length,
			first.steps.length,
			t1 - began,
			performance.now() - began,
		);
		expect(faults.slice(0, 20)).toEqual([]);
		expect(faults.length).toBe(0);
	}, 300_000);
});
