// No litre appears or vanishes in the rig model: every store is integrated by itself, and their sum
// stays, for random orders and faults. A flux biased by one in a million must show.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type ModelRun, runScenario } from "../../sim/bench/runner.ts";
import { type Scenario, scenarioSchema } from "../../sim/bench/scenario.ts";
import type { RigModel } from "../../sim/rig.ts";
import type { Parcel, Store } from "../../sim/store.ts";
import { exampleRig, pins } from "../stories/world.ts";

const SEED = 20_261_126;
const rig = exampleRig();

const scenarios = fc
	.record({
		seed: fc.integer({ min: 0, max: 1e6 }),
		fuelLitres: fc.double({ min: 5, max: 300, noNaN: true }),
		freeWaterLitres: fc.double({ min: 0, max: 3, noNaN: true }),
		dispersedWaterPpm: fc.double({ min: 0, max: 2_000, noNaN: true }),
		litres: fc.double({ min: 1, max: 60, noNaN: true }),
		returns: fc.constantFrom("port", "day"),
		lifted: fc.option(fc.integer({ min: 0, max: 1_500 })),
		drains: fc.boolean(),
	})
	.map((draw): Scenario => {
		const { fuelLitres, freeWaterLitres, dispersedWaterPpm } = draw;
		const upon = { uponTrip: "water-in-bowl", everyTime: true };
		const crew = [
			{ ...upon, afterSeconds: 60, does: "drain-bowl" },
			{ ...upon, afterSeconds: 70, does: "fill-bowl" },
			{ ...upon, afterSeconds: 80, does: "press-acknowledge" },
		];
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
				tanks: { port: { fuelLitres, freeWaterLitres, dispersedWaterPpm }, day: { fuelLitres: 9 } },
			},
			orders: [{ atSeconds: 1, polish: { tank: "port", litres: draw.litres } }],
			crew: draw.drains ? crew : [],
			faults:
				draw.lifted === null
					? []
					: [{ atSeconds: draw.lifted, fault: "tube-lifted", forSeconds: 40 }],
			hoursMax: 1.2,
			expect: [{ outcome: "finished" }],
		});
	});

interface Sums {
	readonly litres: number;
	readonly water: number;
}

function sums(model: RigModel): Sums {
	let litres = 0;
	let water = 0;
	for (const store of model.path.stores.values()) {
		litres += store.litres;
		water += store.holds.free + store.holds.dispersed;
	}
	return { litres, water };
}

/** Largest relative error of volume and of water over a run, against the litres pumped. */
function errors(
	scenario: Scenario,
	disturb?: (model: RigModel) => void,
): { run: ModelRun; worst: number } {
	let first: Sums | null = null;
	let worst = 0;
	const run = runScenario(scenario, rig, pins, {
		afterStep: (model) => {
			if (first === null) {
				disturb?.(model);
				first = sums(model);
			}
			const now = sums(model);
			const gap = Math.max(Math.abs(now.litres - first.litres), Math.abs(now.water - first.water));
			worst = Math.max(worst, gap);
		},
	});
	return { run, worst: worst / Math.max(1, run.truth.litresThroughPump) };
}

/** Makes a store receive a little more than was given. */
function bias(store: Store | undefined): void {
	if (store === undefined) throw new Error("no such store");
	const give = store.give.bind(store);
	const more = (value: number) => value * (1 + 1e-6);
	store.give = ({ fuel, free, dispersed }: Parcel) =>
		give({ fuel: more(fuel), free: more(free), dispersed: more(dispersed) });
}

describe("volume and water are conserved", () => {
	it("to 1e-9 of the litres pumped, for random tanks, orders and faults", () => {
		let pumped = 0;
		fc.assert(
			fc.property(scenarios, (scenario) => {
				const { run, worst } = errors(scenario);
				expect(worst).toBeLessThan(1e-9);
				pumped += run.truth.litresThroughPump;
			}),
			{ seed: SEED, numRuns: 40 },
		);
		expect(pumped).toBeGreaterThan(400);
	});

	it.each(["port", "line", "bowl", "sump"])("a flux into %s biased by 1e-6 shows", (name) => {
		const [scenario] = fc.sample(
			scenarios.filter(({ start }) => (start.tanks.port?.freeWaterLitres ?? 0) > 1),
			{ seed: SEED, numRuns: 1 },
		);
		if (scenario === undefined) throw new Error("no sample");
		const whole = { ...scenario, start: { ...scenario.start, return: "port" } };
		const { worst } = errors(whole, (model) => bias(model.path.stores.get(name)));
		expect(worst).toBeGreaterThan(1e-8);
	});
});
