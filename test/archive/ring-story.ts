// A scenario told to a store as a controller aboard tells it: records and the ring of tick inputs,
// tick by tick, with the rig and pin map that decided. Played on the model board.

import { deflateRawSync } from "node:zlib";
import { type Controller, createController } from "../../firmware/controller.ts";
import type { RingRow, StoreFile } from "../../firmware/log/database.ts";
import type { Origin } from "../../firmware/log/kept-run.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { RingKeeper } from "../../firmware/log/ring.ts";
import type { RingBatch } from "../../firmware/log/store-worker.ts";
import { findScenario, loadScenario } from "../../sim/bench/load.ts";
import { type ModelRun, runScenario } from "../../sim/bench/runner.ts";
import { pins, root } from "../stories/world.ts";

export interface RingStory {
	readonly run: ModelRun;
	readonly origin: Origin;
	readonly steps: ReadonlyArray<{
		readonly records: readonly LogRecord[];
		readonly ring: readonly RingBatch[];
	}>;
}

/** A scenario in which the controller comes up once. */
export function ringStory(name: string): RingStory {
	const { scenario, rig } = loadScenario(findScenario(root, name));
	const standard = createController(rig, pins);
	const keeper = new RingKeeper(pins, 1);
	const steps: Array<{ records: readonly LogRecord[]; ring: readonly RingBatch[] }> = [];
	const controller: Controller = {
		boot: (nowMs, recovery) => {
			const result = standard.boot(nowMs, recovery);
			steps.push({ records: result.records, ring: [] });
			return result;
		},
		tick: (before, inputs) => {
			const result = standard.tick(before, inputs);
			const ring = keeper.keep(before, inputs, result);
			if (result.records.length > 0 || ring.length > 0) {
				steps.push({ records: result.records, ring });
			}
			return result;
		},
	};
	const run = runScenario(scenario, rig, pins, { controller });
	const origin = { logic: { version: "0.0.1", hash: "of-the-story" }, rig, pins };
	return { run, origin, steps };
}

/** As the store's thread packs it. */
export const packedRow = ({ boot, fromMs, toMs, state, inputs }: RingBatch): RingRow => ({
	...{ boot, fromMs, toMs, state: JSON.stringify(state) },
	inputs: deflateRawSync(JSON.stringify(inputs), { level: 3 }),
});

/** Writes together what no trip or order parts: each write waits for the disk. */
export function writeStory(store: StoreFile, { steps, origin }: RingStory, knowsRig = true): void {
	let known = knowsRig ? { boot: 1, body: JSON.stringify(origin) } : null;
	let records: LogRecord[] = [];
	let rows: RingRow[] = [];
	const flush = () => {
		store.write(records, rows, known);
		known = null;
		records = [];
		rows = [];
	};
	for (const step of steps) {
		const pins = step.records.some(({ kind }) => kind === "trip" || kind === "order");
		if (rows.length >= ROWS_TOGETHER) flush();
		records.push(...step.records);
		rows.push(...step.ring.map(packedRow));
		if (pins) flush();
	}
	flush();
}

const ROWS_TOGETHER = 60;
