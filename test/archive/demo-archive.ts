// An invented autumn of the Teal Willow, for tests and pictures of the commands: shipped scenarios
// played on the model board one after the other, as boots of one store, dated by clocks and notes.

import { join } from "node:path";
import { readInputFile } from "../../firmware/config/input-file.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import type { Tally } from "../../firmware/totals.ts";
import { Archive } from "../../host/archive/archive.ts";
import type { Note } from "../../host/archive/note.ts";
import { findScenario } from "../../sim/bench/load.ts";
import { runScenario } from "../../sim/bench/runner.ts";
import { readScenario } from "../../sim/bench/scenario-reader.ts";
import { exampleRig, pins, root } from "../stories/world.ts";
import { batchOf, chainedRecords } from "./drawn-log.ts";

export const DEMO_STORE = "0b1e2c3d-0000-4000-8000-invented0001";
export const DEMO_RIG = "Teal Willow portable rig";
const HOUR = 3_600_000;
/** 2026-11-20T08:00Z, and when the crew asks whether the boat is ready. */
const BEGAN = Date.UTC(2026, 10, 20, 8);
export const DEMO_NOW = BEGAN + 100 * HOUR;

/** Boots by scenario; null: nobody held a clock against it. */
const stories: ReadonlyArray<readonly [scenario: string, hoursAfter: number | null]> = [
	["into-the-day-tank", 0],
	["water-in-the-bowl", 3],
	["power-cut", null],
	["sweep-after-a-stand", null],
	["clean-polish", 30],
];

/** Records of all of them as one store would have written them. */
export function demoRecords(): LogRecord[] {
	const all: LogRecord[] = [];
	let unordered: Tally = { motorMs: 0, pulses: 0 };
	let boots = 0;
	for (const [name] of stories) {
		const before = { ...unordered };
		const [seqs, boot] = [all.length, boots];
		for (const record of playedRecords(name)) {
			const moved = { ...record, seq: record.seq + seqs, boot: record.boot + boot };
			if (moved.kind === "unordered") {
				unordered = {
					motorMs: before.motorMs + moved.sum.motorMs,
					pulses: before.pulses + moved.sum.pulses,
				};
				all.push({ ...moved, sum: unordered });
			} else all.push(moved);
			boots = Math.max(boots, moved.boot);
		}
	}
	return all;
}

function playedRecords(name: string): readonly LogRecord[] {
	const file = findScenario(root, name);
	const { scenario, rig } = readScenario(readInputFile(file), file, () => exampleRig());
	return runScenario(scenario, rig, pins).records;
}

const head = { rig: DEMO_RIG, by: "MT", text: null };
const notes: readonly Note[] = [
	{
		...head,
		id: "up-1",
		atUtcMs: BEGAN - 200 * HOUR,
		kind: "element-change",
		micron: 12,
		storeId: null,
		afterSeq: 0,
	},
	{
		...head,
		id: "up-2",
		atUtcMs: BEGAN - 24 * HOUR,
		kind: "uplift",
		tank: "port",
		litres: 120,
		place: "Invented Harbour",
		batch: "A-17",
	},
	{ ...head, id: "sp-1", atUtcMs: BEGAN, kind: "spare-elements", count: 2 },
	{
		...head,
		id: "wa-1",
		atUtcMs: BEGAN + 10 * HOUR,
		kind: "waste",
		wasteMl: 200,
		container: "red can",
		place: null,
		receipt: null,
	},
	{
		...head,
		id: "sa-1",
		atUtcMs: BEGAN + 60 * HOUR,
		kind: "sample",
		tank: "port",
		from: "after-24h",
		looked: "clear",
		iso4406: null,
		clearAndBright: null,
	},
	{
		...head,
		id: "en-1",
		atUtcMs: BEGAN + 90 * HOUR,
		kind: "engine",
		standsSinceUtcMs: BEGAN - 50 * HOUR,
		text: "=1+1",
	},
];

/** Makes the archive in a new file, and leaves it closed. */
export function makeDemo(file: string): void {
	const archive = new Archive(file, { create: true });
	const records = demoRecords();
	archive.add(DEMO_STORE, batchOf(chainedRecords(records, DEMO_STORE)));
	let boot = 0;
	for (const [name, hoursAfter] of stories) {
		boot += 1;
		if (name === "power-cut") boot += 1;
		if (hoursAfter === null) continue;
		const utcMs = BEGAN + hoursAfter * HOUR;
		archive.sight(DEMO_STORE, { boot, monoMs: 60_000, utcMs, uncertaintyMs: 2_000 });
	}
	for (const note of notes) archive.notes.add(note);
	archive.close();
}

export const demoFile = (folder: string): string => join(folder, "demo.sqlite");
