// Every shipped scenario: its expectations hold, its kept inputs decide the same again, its state
// may pass through JSON at any tick, its records keep their schema, and its seed repeats it to
// the last bit.

import { describe, expect, it } from "vitest";
import { type Controller, createController } from "../../firmware/controller.ts";
import { tripCodes } from "../../firmware/cycle/trips.ts";
import { decodeRun, encodeRun } from "../../firmware/log/kept-run.ts";
import { recordSchema } from "../../firmware/log/record.ts";
import { bootStretches, partsOf } from "../../host/replay/recorded-ticks.ts";
import { sumUp } from "../../sim/bench/judge.ts";
import { loadScenario, shippedScenarios } from "../../sim/bench/load.ts";
import { keptRunOf } from "../../sim/bench/recorded-run.ts";
import { type RecordedTicks, replay } from "../../sim/bench/replay.ts";
import { type ModelRun, runScenario } from "../../sim/bench/runner.ts";
import { exampleRig, pins, root } from "../stories/world.ts";

const loaded = shippedScenarios(root).map(loadScenario);
/** The last run only: the inputs of a night are a hundred megabytes. */
let kept: { name: string; run: ModelRun } | null = null;
const tripped = new Map<string, readonly string[]>();
const runOf = (name: string): ModelRun => {
	if (kept?.name === name) return kept.run;
	const one = loaded.find((candidate) => candidate.name === name);
	if (one === undefined) throw new Error(`no scenario ${name}`);
	kept = null;
	const run = runScenario(one.scenario, one.rig, pins);
	kept = { name, run };
	tripped.set(
		name,
		run.records.flatMap((record) => (record.kind === "trip" ? [record.code] : [])),
	);
	return run;
};

interface Kept {
	readonly controller: Controller;
	readonly stretches: readonly RecordedTicks[];
}
let fromFile: { name: string; one: Kept } | null = null;
/** The run as it comes back from a file, with the controller that its file asks for. */
const keptOf = (name: string): Kept => {
	if (fromFile?.name === name) return fromFile.one;
	const logic = { version: "1", hash: "invented" };
	const run = decodeRun(encodeRun(keptRunOf(name, runOf(name), pins, logic)));
	if (run.head.origin === null) throw new Error("it has no rig");
	const parts = partsOf(run.head.origin, name);
	const controller = createController(parts.rig, parts.pins);
	const one = { controller, stretches: bootStretches(run, parts.rig, name) };
	fromFile = { name, one };
	return one;
};
const differencesIn = (controller: Controller, { stretches }: Kept) =>
	stretches.flatMap((stretch) => replay(controller, stretch).difference ?? []);

const JSON_TICKS = 10_000;
const names = loaded.map(({ name }) => name);

describe.each(names)("%s", (name) => {
	it("holds what it expects", () => {
		const broken = sumUp(name, runOf(name), 0).expectations.filter(({ held }) => !held);
		expect(broken).toEqual([]);
	});

	it("decides the same when its inputs are run again from a kept file, boot by boot", () => {
		const one = keptOf(name);
		const restarts = runOf(name).records.filter(({ kind }) => kind === "boot").length;
		expect(one.stretches.length).toBe(restarts);
		expect(one.stretches.every(({ tape }) => tape.length > 0)).toBe(true);
		expect(differencesIn(one.controller, one)).toEqual([]);
	});

	it("decides the same when its state passes through JSON", () => {
		const one = keptOf(name);
		const { controller } = one;
		// At every tick of a short run; often enough in one of many hours.
		const all = one.stretches.reduce((sum, { tape }) => sum + tape.length, 0);
		const every = Math.ceil(all / JSON_TICKS);
		let ticks = 0;
		const restored: Controller = {
			...controller,
			tick: (state, inputs) => {
				ticks += 1;
				const isDue = ticks % every === 0;
				return controller.tick(isDue ? JSON.parse(JSON.stringify(state)) : state, inputs);
			},
		};
		expect(differencesIn(restored, one)).toEqual([]);
	});

	it("writes records that keep their schema, numbered without a gap", () => {
		const { records } = runOf(name);
		records.forEach((record, i) => {
			expect(record.seq).toBe(i + 1);
			if (record.kind !== "sample" || i % 50 === 0) {
				expect(recordSchema.parse(record)).toStrictEqual(record);
			}
		});
	});

	it("gives the same again for the same seed", () => {
		const { scenario, rig } = runOf(name);
		const again = runScenario(scenario, rig, pins);
		expect(sumUp(name, again, 0)).toStrictEqual(sumUp(name, runOf(name), 0));
		expect(again.records).toStrictEqual(runOf(name).records);
	});
});

describe("the comparison itself", () => {
	it("sees the difference that one changed setpoint makes", () => {
		const later = exampleRig((text) =>
			text.replace("setpoints: {}", "setpoints: { waterDelayMs: 400 }"),
		);
		const [difference] = differencesIn(
			createController(later, pins),
			keptOf("water-under-the-tube"),
		);
		expect(difference?.what).toBe("outputs");
	});

	it("sees another seed's noise in the readings", () => {
		const { scenario, rig } = runOf("attended-cupful");
		const other = runScenario(scenario, rig, pins, { seed: scenario.seed + 1 });
		const readings = (run: ModelRun) => JSON.stringify(run.boots[0]?.tape.inputsAt(100));
		expect(readings(other)).not.toBe(readings(runOf("attended-cupful")));
	});
});

describe("the library reaches", () => {
	const tripsOf = (name: string) => {
		if (!tripped.has(name)) runOf(name);
		return tripped.get(name) ?? [];
	};

	// Alone it has to play them all.
	it("every trip of the catalogue", { timeout: 600_000 }, () => {
		const all = new Set(names.flatMap(tripsOf));
		const missing = tripCodes.filter((code) => !all.has(code));
		expect(missing).toEqual([]);
	});
});
