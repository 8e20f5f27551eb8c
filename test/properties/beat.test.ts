// The beat proves a completed tick: wedge any stage of it and the beat ends, the dead-man lets go
// and the pump stops, although the board holds every pin at its last level.

import { describe, expect, it } from "vitest";
import { createController, STAGES } from "../../firmware/controller.ts";
import { findScenario, loadScenario } from "../../sim/bench/load.ts";
import { runScenario } from "../../sim/bench/runner.ts";
import { pins, root } from "../stories/world.ts";

const { scenario, rig } = loadScenario(findScenario(root, "clean-polish"));
const short = { ...scenario, hoursMax: 0.03 };
/** By now the rig polishes. */
const WEDGED_AT_MS = 60_000;

type StageName = keyof typeof STAGES;

/** The stages with one of them wedged from a time on. The last argument tells the time. */
function wedged(name: StageName): typeof STAGES {
	let calls = 0;
	const stage = STAGES[name] as (...args: unknown[]) => unknown;
	const stuck = (...args: unknown[]) => {
		calls += 1;
		if (calls > WEDGED_AT_MS / 100) throw new Error(`${name} is wedged`);
		return stage(...args);
	};
	return { ...STAGES, [name]: stuck } as typeof STAGES;
}

describe("the beat ends when a stage is wedged", () => {
	it.each(Object.keys(STAGES) as StageName[])("%s", (name) => {
		const controller = createController(rig, pins, wedged(name));
		let demandedAtEnd = false;
		const run = runScenario(short, rig, pins, {
			controller,
			afterStep: (model) => {
				demandedAtEnd = model.k1Closed;
			},
		});
		expect(run.hung).toBe(true);
		// The pin still says pump; only the dead-man has opened.
		expect(demandedAtEnd).toBe(true);
		expect(run.pumpRunsAtEnd).toBe(false);
		expect(run.lastPumpS).toBeGreaterThan(WEDGED_AT_MS / 1000 - 1);
		expect(run.lastPumpS).toBeLessThan(WEDGED_AT_MS / 1000 + 2);
	});

	it("and goes on when none is", () => {
		const run = runScenario(short, rig, pins);
		expect(run.hung).toBe(false);
		expect(run.lastPumpS).toBeGreaterThan(100);
	});
});
