// No gram appears or vanishes in the rig model: every store is integrated by itself, and fuel,
// water and dirt each sum to what they were, for random rigs, orders and faults. A flux into any
// one store that is wrong by one in a million must show.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Rig } from "../../firmware/config/rig.ts";
import { type ModelRun, runScenario } from "../../sim/bench/runner.ts";
import { type Scenario, scenarioSchema } from "../../sim/bench/scenario.ts";
import { faults } from "../../sim/faults.ts";
import type { RigModel } from "../../sim/rig.ts";
import { dirtKg, FUEL, waterKg } from "../../sim/species.ts";
import { exampleRig, pins } from "../stories/world.ts";

const SEED = 20_261_126;

/** Somebody stays at the rig: nothing but its base sensors is fitted, so that more is pumped. */
const STAYS = [600, 1_200, 1_800, 2_400, 3_000, 3_600, 4_200].map((atSeconds) => ({
	atSeconds,
	does: "confirm",
}));

const rigs = fc
	.record({
		kind: fc.constantFrom("diaphragm", "vane", "gear", "solenoid-pulse"),
		shape: fc.constantFrom("rectangular", "wedge", "horizontal-cylinder"),
		boreMm: fc.integer({ min: 5, max: 16 }),
		hoseMm: fc.integer({ min: 200, max: 9_000 }),
		bowlMl: fc.integer({ min: 600, max: 3_000 }),
		clearanceMm: fc.integer({ min: 0, max: 30 }),
		efficiency: fc.double({ min: 0, max: 0.99, noNaN: true }),
	})
	.map((draw): Rig => {
		const rig = exampleRig();
		const { kind, shape, boreMm, efficiency } = draw;
		return {
			...rig,
			sensors: [],
			tanks: rig.tanks.map((tank) => ({ ...tank, shape })),
			tube: { ...rig.tube, boreMm, clearanceMm: draw.clearanceMm },
			hose: { ...rig.hose, boreMm, lengthMm: draw.hoseMm },
			bowl: { ...rig.bowl, volumeMl: draw.bowlMl },
			element: { ...rig.element, dirtEfficiency: efficiency, waterEfficiency: efficiency },
			pump: { ...rig.pump, kind },
		};
	});

const scenarios = fc
	.record({
		seed: fc.integer({ min: 0, max: 1e6 }),
		fuelLitres: fc.double({ min: 5, max: 300, noNaN: true }),
		freeWaterLitres: fc.double({ min: 0, max: 3, noNaN: true }),
		dispersedWaterPpm: fc.double({ min: 0, max: 2_000, noNaN: true }),
		dirtGrams: fc.double({ min: 0, max: 200, noNaN: true }),
		sludgeGrams: fc.double({ min: 0, max: 400, noNaN: true }),
		rollDeg: fc.double({ min: 0, max: 20, noNaN: true }),
		airC: fc.double({ min: -12, max: 35, noNaN: true }),
		litres: fc.double({ min: 1, max: 60, noNaN: true }),
		returns: fc.constantFrom("port", "day"),
		broken: fc.array(
			fc.record({
				fault: fc.constantFrom(...faults.filter((fault) => fault !== "controller-restarts")),
				atSeconds: fc.integer({ min: 0, max: 1_500 }),
				forSeconds: fc.option(fc.integer({ min: 5, max: 400 }), { nil: undefined }),
			}),
			{ maxLength: 3 },
		),
		drains: fc.boolean(),
	})
	.map((draw): Scenario => {
		const { fuelLitres, freeWaterLitres, dispersedWaterPpm, dirtGrams, sludgeGrams } = draw;
		const upon = { uponTrip: "water-in-bowl", everyTime: true };
		const crew = [
			{ ...upon, afterSeconds: 60, does: "drain-bowl" },
			{ ...upon, afterSeconds: 70, does: "fill-bowl" },
			{ ...upon, afterSeconds: 80, does: "press-acknowledge" },
			{ uponTrip: "dry-run", everyTime: true, afterSeconds: 40, does: "press-acknowledge" },
		];
		const port = { fuelLitres, freeWaterLitres, dispersedWaterPpm, dirtGrams, sludgeGrams };
		return scenarioSchema.parse({
			title: "random",
			invented: true,
			rig: "none",
			seed: draw.seed,
			start: {
				commissioned: true,
				armed: true,
				tube: "port",
				return: draw.returns,
				airC: draw.airC,
				airSwingK: 6,
				sea: { rollDeg: draw.rollDeg },
				tanks: { port, day: { fuelLitres: 60, dirtGrams: 1 } },
			},
			orders: [{ atSeconds: 1, polish: { tank: "port", litres: draw.litres, attended: true } }],
			crew: [...STAYS, ...(draw.drains ? crew : [])],
			faults: draw.broken,
			hoursMax: 1.2,
			expect: [{ outcome: "finished" }],
		});
	});

type Sums = readonly [fuel: number, water: number, dirt: number];

function sums(model: RigModel): Sums {
	let [fuel, water, dirt] = [0, 0, 0];
	for (const masses of model.path.stores.values()) {
		fuel += masses[FUEL] ?? 0;
		water += waterKg(masses);
		dirt += dirtKg(masses);
	}
	return [fuel, water, dirt];
}

/** Largest relative error of any of the three over a run. */
function worstError(
	scenario: Scenario,
	rig: Rig,
	disturb?: (model: RigModel) => void,
): { run: ModelRun; worst: number } {
	let first: Sums | null = null;
	let worst = 0;
	let steps = 0;
	// A pocket of water that breaks loose, as a slug does, is there from then on.
	let pocketKg = 0;
	const run = runScenario(scenario, rig, pins, {
		afterStep: (model) => {
			disturb?.(model);
			const slug = model.has("water-slug") ? model.sizeOf("water-slug") : 0;
			if (slug > 0 && pocketKg === 0) {
				pocketKg = slug * 1e-6 * 999;
				if (first !== null) first = [first[0], first[1] + pocketKg, first[2]];
			}
			steps += 1;
			if (first !== null && steps % 50 !== 0) return;
			const now = sums(model);
			first ??= now;
			for (let i = 0; i < 3; i += 1) {
				const whole = first[i] ?? 0;
				const gap = Math.abs((now[i] ?? 0) - whole);
				if (whole > 0) worst = Math.max(worst, gap / whole);
			}
		},
	});
	return { run, worst };
}

/** Makes a store receive a little more than was given, or lose a little less. */
function bias(name: string): (model: RigModel) => void {
	const before = new Map<number, number>();
	return (model) => {
		const masses = model.path.stores.get(name);
		if (masses === undefined) throw new Error(`no store ${name}`);
		masses.forEach((kg, i) => {
			const change = kg - (before.get(i) ?? kg);
			masses[i] = kg + 1e-6 * change;
			before.set(i, masses[i] ?? 0);
		});
	};
}

describe("fuel, water and dirt are conserved", () => {
	it("each to 1e-9 over any run, for random rigs and faults", { timeout: 180_000 }, () => {
		let pumped = 0;
		fc.assert(
			fc.property(scenarios, rigs, (scenario, rig) => {
				const { run, worst } = worstError(scenario, rig);
				expect(worst).toBeLessThan(1e-9);
				pumped += run.truth.litresThroughPump;
			}),
			{ seed: SEED, numRuns: 60 },
		);
		expect(pumped).toBeGreaterThan(300);
	});

	it.each(["port", "port-floor", "bowl", "sump", "element"])(
		"a flux into %s biased by 1e-6 shows",
		(name) => {
			const [drawn] = fc.sample(scenarios, { seed: SEED, numRuns: 1 });
			if (drawn === undefined) throw new Error("no sample");
			const port = { fuelLitres: 100, freeWaterLitres: 0.4, dispersedWaterPpm: 90 };
			const tanks = { ...drawn.start.tanks, port: { ...port, dirtGrams: 90, sludgeGrams: 30 } };
			const start = { ...drawn.start, tanks, return: "day", sea: undefined, airC: 12 };
			const orders = drawn.orders.map(({ polish, ...order }) =>
				polish === undefined ? order : { ...order, polish: { ...polish, litres: 40 } },
			);
			const scenario = { ...drawn, start, orders, crew: [], faults: [] };
			const { worst } = worstError(scenario, { ...exampleRig(), sensors: [] }, bias(name));
			expect(worst).toBeGreaterThan(5e-9);
		},
	);
});
