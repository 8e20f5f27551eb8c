// The state that a window begins in: every one that today's controller keeps fits, and one of
// another shape is told with the place where it does not.

import { describe, expect, it } from "vitest";
import { createController } from "../../firmware/controller.ts";
import { misfit } from "../../host/replay/state-shape.ts";
import { findScenario, loadScenario } from "../../sim/bench/load.ts";
import { runScenario } from "../../sim/bench/runner.ts";
import { exampleRig, pins, root } from "./world.ts";

const rig = exampleRig();
const today = createController(rig, pins).boot(0).state;
const stateWith = (change: (state: Record<string, unknown>) => void): unknown => {
	const state = JSON.parse(JSON.stringify(today));
	change(state);
	return state;
};

describe("the state of today's controller", () => {
	const names = ["attended-cupful", "sweep-after-a-stand", "into-the-day-tank", "cold-hour"];

	it.each(names)("fits at any tick of %s", (name) => {
		const { scenario, rig: own } = loadScenario(findScenario(root, name));
		const standard = createController(own, pins);
		const atBoot = standard.boot(0).state;
		const found = new Set<string>();
		let ticks = 0;
		const controller = {
			...standard,
			tick: (...args: Parameters<typeof standard.tick>) => {
				const result = standard.tick(...args);
				ticks += 1;
				if (ticks % 97 === 0) {
					const words = misfit(JSON.parse(JSON.stringify(result.state)), atBoot);
					if (words !== null) found.add(words);
				}
				return result;
			},
		};
		runScenario(scenario, own, pins, { controller });
		expect(ticks).toBeGreaterThan(500);
		expect([...found]).toEqual([]);
	});
});

describe("a state of another shape", () => {
	it.each([
		["a field less", (s: Record<string, unknown>) => delete s.interlock, "interlock: nothing"],
		[
			"a field more",
			(s: Record<string, unknown>) => Object.assign(s, { later: 1 }),
			"later: a value that today's logic does not know",
		],
		[
			"another kind",
			(s: Record<string, unknown>) => Object.assign(s, { beat: { level: true } }),
			"beat: an object, where today's logic has a boolean",
		],
		[
			"fewer findings",
			(s: Record<string, unknown>) => (s.findings as unknown[]).pop(),
			"findings: ",
		],
	] as const)("is told: %s", (_, change, words) => {
		expect(misfit(stateWith(change), today)).toContain(words);
	});

	it("is told where it is no object at all", () => {
		expect(misfit("idle", today)).toContain("the state: a string");
	});
});
