// Stories of a vacuum that grows, through the controller on the simulated rig: what the trip's
// words say of dirt, of wax, of a tube against the wall; with the tap before the element and
// without.

import { describe, expect, it } from "vitest";
import type { Rig } from "../../firmware/config/rig.ts";
import { runScenario } from "../../sim/bench/runner.ts";
import { scenarioSchema } from "../../sim/bench/scenario.ts";
import { exampleRig, pins } from "./world.ts";

const rig = exampleRig();
const tapped: Rig = { ...rig, sensors: [...rig.sensors, "bowl-tap"] };
/** Summer fuel: it clouds where an order still runs. */
const summer: Rig = { ...rig, fuel: { ...rig.fuel, cloudPointC: 9 } };

interface Scene {
	readonly fuelC?: number;
	readonly faults?: readonly object[];
}

/** A polish of 60 L as far as its trip. */
function tripped(on: Rig, { fuelC = 15, faults = [] }: Scene) {
	const scenario = scenarioSchema.parse({
		title: "a growing vacuum",
		invented: true,
		rig: "none",
		seed: 47,
		start: {
			commissioned: true,
			armed: true,
			tube: "port",
			return: "port",
			airC: fuelC,
			fuelC,
			tanks: { port: { fuelLitres: 180, dirtGrams: 20 } },
		},
		orders: [{ atSeconds: 5, polish: { tank: "port", litres: 60, sweepFirst: false } }],
		faults,
		hoursMax: 2,
		expect: [{ outcome: "finished" }],
	});
	const { records } = runScenario(scenario, on, pins);
	return records.flatMap((one) => (one.kind === "trip" ? [one] : []));
}

const slowly = [{ fault: "element-plugs", atSeconds: 300, size: 12, overSeconds: 2_400 }];
const atOnce = [{ fault: "tube-blocked", atSeconds: 200 }];

describe("a vacuum that grows", () => {
	it.each<[string, Rig, Scene, string, RegExp]>([
		["with the litres, in warm fuel, is dirt", rig, { faults: slowly }, "restriction-high", /dirt/],
		[
			"with the litres is the element's by the tap too",
			tapped,
			{ faults: slowly },
			"restriction-high",
			/the element, dirt: change the element$/,
		],
		[
			"in fuel well under its cloud point is wax",
			summer,
			{ fuelC: 3 },
			"restriction-high",
			/wax: warm/,
		],
		[
			"at once is tube or element",
			rig,
			{ faults: atOnce },
			"suction-blocked",
			/: tube or element$/,
		],
		[
			"at once before the tap is the tube",
			tapped,
			{ faults: atOnce },
			"suction-blocked",
			/the tube$/,
		],
	])("%s", (_, on, scene, code, words) => {
		const trips = tripped(on, scene);
		expect(trips.map((trip) => trip.code)).toEqual([code]);
		expect(trips[0]?.cause).toMatch(words);
	});

	it("in summer fuel at 15 °C does not grow at all", () => {
		expect(tripped(summer, { fuelC: 15 })).toEqual([]);
	});
});
