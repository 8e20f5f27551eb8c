// The judge of all runs judged: each limit once just kept and once just passed, by a time that only
// the test owns; and what relaxes an invariant, by size and by a sensor that is missing.

import { describe, expect, it } from "vitest";
import type { Rig } from "../../firmware/config/rig.ts";
import { DryWatch } from "../../sim/bench/dry-watch.ts";
import { Watch } from "../../sim/bench/invariants.ts";
import { loadScenario } from "../../sim/bench/load.ts";
import { runScenario } from "../../sim/bench/runner.ts";
import type { Scenario } from "../../sim/bench/scenario.ts";
import type { RigModel } from "../../sim/rig.ts";
import { exampleRig, pins, root } from "../stories/world.ts";

/** A watch at 10 Hz, and its time. */
function dryness() {
	const watch = new DryWatch();
	let tick = 0;
	const pass = (seconds: number, dry: boolean, doing: "polishing" | "priming" = "polishing") => {
		for (let i = 0; i < Math.round(seconds * 10); i += 1) {
			tick += 1;
			watch.step(tick / 10, 0.1, true, dry, doing);
		}
	};
	const stop = (seconds: number) => {
		for (let i = 0; i < Math.round(seconds * 10); i += 1) {
			tick += 1;
			watch.step(tick / 10, 0.1, false, true, "priming");
		}
	};
	return { watch, pass, stop };
}

describe("dry running", () => {
	it("of 19.9 s in one stretch passes, of 20.1 s does not", () => {
		const { watch, pass } = dryness();
		pass(19.9, true);
		expect(watch.isTooLong).toBe(false);
		pass(0.2, true);
		expect(watch.isTooLong).toBe(true);
	});

	it("of 10 s three times in five minutes passes, a fourth does not", () => {
		const { watch, pass } = dryness();
		for (let i = 0; i < 3; i += 1) {
			pass(9.9, true);
			pass(40, false);
		}
		expect(watch.isTooLong).toBe(false);
		pass(0.5, true);
		expect(watch.isTooLong).toBe(true);
	});

	it("is forgotten after five minutes", () => {
		const { watch, pass } = dryness();
		for (let i = 0; i < 6; i += 1) {
			pass(15, true);
			pass(170, false);
			expect(watch.isTooLong, String(i)).toBe(false);
		}
	});

	it("while priming is judged by tries: three of the pump's own limit, and no fourth", () => {
		const { watch, pass, stop } = dryness();
		for (let i = 0; i < 3; i += 1) {
			pass(45, true, "priming");
			stop(45);
		}
		expect(watch.isTooLong).toBe(false);
		expect(watch.isPrimedTooLong(45)).toBe(false);
		pass(0.1, true, "priming");
		expect(watch.isPrimedTooLong(45)).toBe(true);
	});

	it("while priming for longer than the pump stands is one try too long", () => {
		const { watch, pass } = dryness();
		pass(45.1, true, "priming");
		expect(watch.isPrimedTooLong(45)).toBe(false);
		pass(0.3, true, "priming");
		expect(watch.isPrimedTooLong(45)).toBe(true);
	});

	it("tries begin anew after fuel has come", () => {
		const { watch, pass, stop } = dryness();
		for (let i = 0; i < 5; i += 1) {
			pass(30, true, "priming");
			pass(10, false);
			stop(10);
		}
		expect(watch.isPrimedTooLong(45)).toBe(false);
	});
});

const { scenario: clean } = loadScenario(`${root}/sim/bench/scenarios/clean-polish.bench.yaml`);
const short: Scenario = {
	...clean,
	orders: [{ ...clean.orders[0], polish: { tank: "port", litres: 3, attended: true } }] as never,
	expect: [{ outcome: "finished" }],
	hoursMax: 1,
};

/** What the judge says of a short polish in which the truth is bent from a time on. */
function judged(bend: (model: RigModel) => unknown, change: Partial<Scenario> = {}, rig?: Rig) {
	const watch = new Watch();
	const run = runScenario({ ...short, ...change }, rig ?? exampleRig(), pins, {
		afterStep: (model, doing) => {
			if (model.elapsedS > 60) bend(model);
			watch.afterStep(model, doing);
		},
	});
	return watch.violations(run);
}

const spilt = (litres: number) => (model: RigModel) => {
	model.path.truth.litresSpilled = litres;
};

describe("the judge", () => {
	it("finds nothing in a clean polish", () => {
		expect(judged(() => {})).toEqual([]);
	});

	it("names what broke, and when first", () => {
		const [violation, ...others] = judged(spilt(0.26));
		expect(others).toEqual([]);
		expect(violation?.invariant).toBe("no spill");
		expect(violation?.atSeconds).toBeCloseTo(60.05, 0);
		expect(judged(spilt(0.24))).toEqual([]);
	});

	it.each<[string, (model: RigModel) => unknown]>([
		[
			"no free water past the bowl",
			({ path }) => Object.assign(path.truth, { freeWaterPastBowlMl: 0.001 }),
		],
		["motor within its heat", ({ motor }) => Object.assign(motor, { caseC: 101 })],
	])("sees %s broken", (invariant, bend) => {
		expect(judged(bend).map((violation) => violation.invariant)).toContain(invariant);
	});

	const wept = (size: number) => [
		{ fault: "hose-off", size, uponState: "polishing", afterSeconds: 5, everyTime: false } as const,
	];

	it("relaxes a spill only for a leak under a tenth of the flow", () => {
		expect(judged(spilt(0.26), { faults: wept(9) })).toEqual([]);
		const names = judged(spilt(0.26), { faults: wept(11) }).map(({ invariant }) => invariant);
		expect(names).toEqual(["no spill"]);
	});

	it("relaxes nothing for a fault that never struck", () => {
		const faults = wept(9).map((fault) => ({ ...fault, uponState: "resting" as const }));
		expect(judged(spilt(0.26), { faults }).map(({ invariant }) => invariant)).toEqual(["no spill"]);
	});

	it("leaves a spill to the person at a rig without a tray's sensor", () => {
		const rig = exampleRig((text) => text.replace("    tray,\n", ""));
		expect(judged(spilt(0.26), {}, rig)).toEqual([]);
	});
});
