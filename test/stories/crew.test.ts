// What people and the weather do in a scenario, each act -> what becomes of the rig. Through the
// scenario's own schema and the bench's own crew.

import { describe, expect, it } from "vitest";
import { stringify } from "yaml";
import { InputError } from "../../firmware/config/input-error.ts";
import { type Controller, createController } from "../../firmware/controller.ts";
import { sumUp } from "../../sim/bench/judge.ts";
import { runScenario } from "../../sim/bench/runner.ts";
import { type Scenario, scenarioInstead } from "../../sim/bench/scenario.ts";
import { readScenario } from "../../sim/bench/scenario-reader.ts";
import type { RigModel } from "../../sim/rig.ts";
import { dirtKg, FREE } from "../../sim/species.ts";
import { exampleRig, pins } from "./world.ts";

const rig = exampleRig();
const BASE = {
	title: "Nobody orders anything",
	invented: true,
	rig: "example",
	seed: 1,
	start: {
		commissioned: true,
		armed: false,
		tube: "port",
		return: "port",
		tanks: { port: { fuelLitres: 100 }, day: { fuelLitres: 20 } },
	},
	hoursMax: 0.02,
	expect: [{ outcome: "idle" }],
};

const read = (changes: object): Scenario =>
	readScenario(stringify({ ...BASE, ...changes }), "s.bench.yaml", () => rig).scenario;

/** The model as the last step leaves it. */
function playedBy(changes: object): RigModel {
	let last: RigModel | undefined;
	runScenario(read(changes), rig, pins, {
		afterStep: (model) => {
			last = model;
		},
	});
	if (last === undefined) throw new Error("no step");
	return last;
}

const volumeL = (model: RigModel, tank: string) =>
	1e3 * (model.path.tanks.get(tank)?.volumeM3 ?? Number.NaN);
const tankOf =
	({ tanks }: RigModel["path"]) =>
	(name: string) =>
		tanks.get(name);
const crew = (does: string, more: object = {}) => ({ crew: [{ atSeconds: 1, does, ...more }] });

describe("the crew", () => {
	it("pours from a can into a tank", () => {
		const before = volumeL(playedBy({}), "day");
		const after = volumeL(playedBy(crew("pour", { tank: "day", litres: 15 })), "day");
		expect(after - before).toBeCloseTo(15, 1);
	});

	it("pours water, which lies on the floor, and adds sludge and dirt afloat", () => {
		const floor = (model: RigModel) => model.path.tanks.get("port")?.floor ?? new Float64Array(0);
		const bulk = (model: RigModel) => model.path.tanks.get("port")?.bulk ?? new Float64Array(0);
		const before = playedBy({});
		const wet = playedBy(crew("pour-water", { tank: "port", litres: 3 }));
		expect(volumeL(wet, "port") - volumeL(before, "port")).toBeCloseTo(3, 2);
		expect((floor(wet)[FREE] ?? 0) - (floor(before)[FREE] ?? 0)).toBeCloseTo(3, 1);
		const muddy = playedBy(crew("add-sludge", { tank: "port", grams: 40 }));
		expect(1e3 * (dirtKg(floor(muddy)) - dirtKg(floor(before)))).toBeCloseTo(40, 1);
		const cloudy = playedBy(crew("add-dirt", { tank: "port", grams: 40 }));
		expect(1e3 * (dirtKg(bulk(cloudy)) - dirtKg(bulk(before)))).toBeCloseTo(40, 0);
	});

	it("looks on, and the story lasts until then", () => {
		const lasts = (changes: object) => runScenario(read(changes), rig, pins).simulatedSeconds;
		expect(lasts({ hoursMax: 1 })).toBe(10);
		expect(lasts({ hoursMax: 1, crew: [{ atSeconds: 300, does: "look-on" }] })).toBe(310);
	});

	it("moves tube and return", () => {
		const tube = playedBy(crew("move-tube", { tank: "day" })).path;
		expect([tube.tubeTank, tube.returnTank]).toEqual(["day", "port"].map(tankOf(tube)));
		const back = playedBy(crew("move-return", { tank: "day" })).path;
		expect([back.tubeTank, back.returnTank]).toEqual(["port", "day"].map(tankOf(back)));
	});

	it("mends one fault, or all of them", () => {
		const faults = ["air-leak", "vent-shut"].map((fault) => ({ fault, atSeconds: 0 }));
		const one = playedBy({ faults, ...crew("mend", { fault: "air-leak" }) });
		expect([one.has("air-leak"), one.has("vent-shut")]).toEqual([false, true]);
		const all = playedBy({ faults, ...crew("mend") });
		expect([all.has("air-leak"), all.has("vent-shut")]).toEqual([false, false]);
	});

	it("changes the battery and wets the probe", () => {
		expect(playedBy(crew("change-battery", { volts: 12.2 })).supply.volts).toBeCloseTo(12.2, 1);
		expect(playedBy({}).waterAtProbeS).toBeNull();
		expect(playedBy(crew("wet-probe")).waterAtProbeS).not.toBeNull();
	});

	it("starts a controller again that hangs", () => {
		const faults = [{ fault: "controller-hangs", atSeconds: 1, forSeconds: 2 }];
		const hung = read({ faults, expect: [{ outcome: "controller dead" }] });
		const again = read({ faults, crew: [{ atSeconds: 5, does: "restart-controller" }] });
		expect(runScenario(hung, rig, pins).hung).toBe(true);
		const run = runScenario(again, rig, pins);
		expect(run.hung).toBe(false);
		expect(run.records.filter(({ kind }) => kind === "boot").length).toBe(2);
	});
});

describe("the weather", () => {
	it("turns at its time, and leaves the rest as it is", () => {
		const weather = [
			{ atSeconds: 1, sea: { rollDeg: 12 } },
			{ atSeconds: 2, airC: 3, fuelC: 4, chargerAmps: 10 },
		];
		const model = playedBy({ weather });
		expect(model.airC).toBe(3);
		expect(model.chargerAmps).toBe(10);
		expect(model.fuel.celsius).toBeCloseTo(4, 2);
		expect(Math.abs(model.rollRad)).toBeGreaterThan(0);
	});

	it("leans the boat, which lifts the fuel over the tube or lowers it", () => {
		const over = (heelDeg: number) =>
			playedBy({ weather: [{ atSeconds: 1, heelDeg }] }).path.surfaceM;
		expect(over(10)).toBeGreaterThan(0.02);
		expect(over(-10)).toBeCloseTo(-over(10), 6);
		expect(over(0)).toBe(0);
	});
});

describe("a mistake is told with its place", () => {
	const told = (changes: object): string => {
		try {
			read(changes);
		} catch (error) {
			if (error instanceof InputError) return error.message;
			throw error;
		}
		return "";
	};
	it.each([
		[crew("pour", { litres: 5 }), "crew[0].tank"],
		[crew("pour", { tank: "bilge", litres: 5 }), "a tank that start.tanks fills"],
		[crew("confirm", { litres: 5 }), "left out: confirm takes none"],
		[{ weather: [{ atSeconds: 3 }] }, "one or more of sea, heelDeg"],
		[{ nearly: [{ trip: "dry-run", ifInstead: { "faults.0.size": 1 } }] }, "faults.0.size"],
		[{ nearly: [{ trip: "dry-run", ifInstead: { "start.batteryVolts": 99 } }] }, "at most 32"],
	])("%j", (changes, words) => {
		expect(told(changes)).toContain(words);
	});
});

it("a near miss puts its values in place of the file's, and leaves the file's as they are", () => {
	const scenario = read({ nearly: [{ trip: "supply-low", ifInstead: { "start.airC": 2 } }] });
	const [miss] = scenario.nearly;
	const instead = miss === undefined ? { place: "none" } : scenarioInstead(scenario, miss);
	expect("scenario" in instead ? instead.scenario.start.airC : instead.place).toBe(2);
	expect(scenario.start.airC).toBe(15);
});

describe("an invariant that is expected", () => {
	const scenario = read({
		faults: [{ fault: "hose-off", atSeconds: 0 }],
		expect: [{ invariant: "no spill" }, { invariant: "no long dry run" }],
	});
	const verdicts = (controller: Controller) => {
		const { expectations } = sumUp("s", runScenario(scenario, rig, pins, { controller }), 0);
		return expectations.map(({ held, found }) => [held, found.replace(/[\d.]+/, "#")]);
	};
	const good = createController(rig, pins);

	it("holds where the controller is sound", () => {
		expect(verdicts(good)).toEqual([
			[true, "held"],
			[true, "held"],
		]);
	});

	it("is told as broken, with its time, where the pump runs whatever comes", () => {
		const runsOn: Controller = {
			...good,
			tick: (state, inputs) => {
				const result = good.tick(state, inputs);
				const beat = inputs.nowMs % 200 === 0;
				const outputs = { ...result.outputs, "pump-demand": true, "dead-man-beat": beat };
				return { ...result, outputs };
			},
		};
		expect(verdicts(runsOn)).toEqual([
			[false, "broken at # s"],
			[true, "held"],
		]);
	});
});
