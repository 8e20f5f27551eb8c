// Slow drift of each sensor that something else can be held against: seen past its tolerance, and
// not within it; and what may not be compared.

import { describe, expect, it } from "vitest";
import {
	type DriftReading,
	type DriftState,
	driftAtBoot,
	driftOf,
	followDrift,
} from "../../firmware/sense/drift.ts";
import { exampleRig } from "./world.ts";

const rig = exampleRig();

/** At rest for an hour, all well. */
const atRest: DriftReading = {
	nowMs: 0,
	offMs: 3_600_000,
	restKpa: 4,
	liftKpa: 6.3,
	depthKpa: 3,
	motorAmps: 0,
	levelGap: null,
	fuelC: 15,
	caseC: 15,
	flowLph: null,
	vacuumKpa: null,
	supplyVolts: 12.6,
};
/** 95 L/h x 12.6/12, less 20/160 of it, is 87 L/h. */
const pumping: DriftReading = {
	...atRest,
	offMs: 0,
	levelGap: 0,
	flowLph: 87,
	vacuumKpa: 14,
	caseC: 40,
};

function watched(reading: DriftReading, minutes: number): DriftState {
	let state = driftAtBoot(0);
	for (let second = 0; second <= minutes * 60; second += 1) {
		state = followDrift(rig, state, { ...reading, nowMs: second * 1_000 });
	}
	return state;
}

const DAY = 24 * 60;

describe("a drift of", () => {
	it.each<[string, DriftReading, RegExp]>([
		["the vacuum's zero up", { ...atRest, restKpa: 12 }, /^vacuum at rest/],
		["the vacuum's zero down", { ...atRest, restKpa: -8 }, /^vacuum at rest/],
		["the current's zero", { ...atRest, motorAmps: -0.12 }, /^motor-current/],
		["a thermistor", { ...atRest, offMs: 4 * 3_600_000, caseC: 40 }, /^fuel-temperature/],
		["the meter, down by a third", { ...pumping, flowLph: 60 }, /^flow-pulse/],
		["the meter, up by a third", { ...pumping, flowLph: 118 }, /^flow-pulse/],
		["a level sender", { ...pumping, levelGap: 0.045 }, /^level-from and level-to/],
	])("%s is found within an hour, and not at once", (_, reading, words) => {
		expect(driftOf(watched(reading, 10))).toBeNull();
		expect(driftOf(watched(reading, 60))).toMatch(words);
	});

	it.each<[string, DriftReading]>([
		["a column that has run back", { ...atRest, restKpa: 0 }],
		["air that the fuel presses in the tube", { ...atRest, restKpa: -4 }],
		["2.5 kPa over the lift", { ...atRest, restKpa: 8.8 }],
		["0.05 A", { ...atRest, motorAmps: 0.05 }],
		["a case that is warm from pumping", { ...atRest, caseC: 40 }],
		["5 K after the night", { ...atRest, offMs: 9 * 3_600_000, caseC: 10 }],
		["12 % of flow", { ...pumping, flowLph: 77 }],
		["2 % of level", { ...pumping, levelGap: 0.02 }],
		["a pump near its dead head", { ...pumping, vacuumKpa: 90, flowLph: 20 }],
		["no level to know the lift by", { ...atRest, restKpa: 12, liftKpa: null }],
		["a lost monitor", { ...atRest, motorAmps: "stale" }],
	])("%s is none in a day", (_, reading) => {
		expect(driftOf(watched(reading, DAY))).toBeNull();
	});

	it("a sensor that was mended ends by itself", () => {
		let state = watched({ ...atRest, motorAmps: 0.12 }, 60);
		expect(driftOf(state)).not.toBeNull();
		for (let i = 1; i <= 60; i += 1) {
			state = followDrift(rig, state, { ...atRest, nowMs: 3_600_000 + i * 300_000 });
		}
		expect(driftOf(state)).toBeNull();
	});

	it("one odd reading of five minutes is none", () => {
		const state = watched(atRest, 9);
		const odd = followDrift(rig, state, { ...atRest, nowMs: 600_000, restKpa: 60 });
		expect(driftOf(odd)).toBeNull();
	});

	it("keeps the same object between its samples", () => {
		const state = watched(atRest, 6);
		expect(followDrift(rig, state, { ...atRest, nowMs: 361_000 })).toBe(state);
	});
});
