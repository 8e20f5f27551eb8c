// For how long each reading has been past its hard mark: which readings count for which time, at
// which figure, and how they count with the motor on and off.

import { describe, expect, it } from "vitest";
import {
	type HardReadings,
	hardAtBoot,
	hardMarks,
	timeHard,
} from "../../firmware/sense/hard-times.ts";
import { EMPTY_LEAKY } from "../../firmware/sense/leaky.ts";
import type { HardTimes } from "../../firmware/sense/sensed.ts";
import { wellSensed as well } from "../stories/well.ts";
import { rig, rigWith } from "./rig.ts";

const marks = hardMarks(rig);

type Name = keyof HardTimes;
type Change = Partial<HardReadings>;

/** What counts a second after these readings came, ms. */
function counted(change: Change, motorOn = true): Partial<HardTimes> {
	const readings = { ...well, ...change };
	const first = timeHard(hardAtBoot, marks, readings, motorOn, 1_000);
	const second = timeHard(first, marks, readings, motorOn, 2_000);
	const times = Object.entries(second).filter(([, { ms }]) => ms > 0);
	return Object.fromEntries(times.map(([name, { ms }]) => [name, ms]));
}

/** The times that say neither yes nor no. */
function silent(change: Change): string[] {
	const state = timeHard(hardAtBoot, marks, { ...well, ...change }, true, 1_000);
	return Object.entries(state).flatMap(([name, { seen }]) => (seen === null ? [name] : []));
}

it("nothing counts at boot", () => {
	expect(new Set(Object.values(hardAtBoot))).toEqual(new Set([EMPTY_LEAKY]));
	expect(Object.keys(hardAtBoot)).toHaveLength(12);
});

describe("the marks", () => {
	it("are 2.5 times the running current, and 10.2 and 16 V a battery of 12 V", () => {
		expect(marks).toMatchObject({ ampsMax: 4.25, voltsMin: 10.2, voltsMax: 16 });
		const big = rigWith({ pump: { ratedVolts: 24, runningAmps: 4 } });
		expect(hardMarks(big)).toMatchObject({ ampsMax: 10, voltsMin: 20.4, voltsMax: 32 });
	});

	it("are a tenth of the free flow, or the detector's limit where that is lower", () => {
		const flow = (freeFlowLph: number, dryFlowLph: number) =>
			hardMarks(rigWith({ pump: { freeFlowLph }, setpoints: { dryFlowLph } })).flowMinLph;
		expect(flow(100, 12)).toBeCloseTo(10, 12);
		expect(flow(200, 12)).toBe(12);
	});
});

describe("past its mark", () => {
	it.each<[string, Change, Name]>([
		["a wet probe", { probe: "wet" }, "probeWetMs"],
		["a tray that is not dry", { tray: "broken" }, "trayWetMs"],
		["a return that is out", { returnSeat: "broken" }, "returnOutMs"],
		["a flow under it", { flowLph: 7.9 }, "lowFlowMs"],
		["a current over it", { motorAmps: 4.26 }, "overAmpsMs"],
		["volts under it", { supplyVolts: 10.19 }, "underVoltsMs"],
		["volts over it", { supplyVolts: 16.01 }, "overVoltsMs"],
		["a vacuum over it", { vacuumKpa: 55.1 }, "overVacuumMs"],
		["a hot case", { caseC: 95.1 }, "overHotMs"],
		["another tank that is full", { levelTo: 0.981 }, "overFullMs"],
		["a full tank beside a silent sender", { levelTo: 0.981, levelFrom: "open" }, "overFullMs"],
		["a full tank, 0.06 over the other", { levelTo: 1, levelFrom: 0.94 }, "overFullMs"],
	])("%s", (_, change, name) => {
		expect(counted(change)).toEqual({ [name]: 1_000 });
	});

	it.each<[string, Change]>([
		["all is well", {}],
		["the flow is at it", { flowLph: 10 }],
		["the current is at it", { motorAmps: 4.25 }],
		["the volts are at the lower one", { supplyVolts: 10.2 }],
		["the volts are at the upper one", { supplyVolts: 16 }],
		["the vacuum is at it", { vacuumKpa: 55 }],
		["the case is at it", { caseC: 95 }],
		["the stop button is pressed: that needs no time", { stop: "broken" }],
		["the other tank is at 0.98", { levelTo: 0.98 }],
		["the other tank is at 0.98, the sender silent", { levelTo: 0.98, levelFrom: "open" }],
		["the tank is full of its own fuel", { levelTo: 1, levelFrom: 1 }],
		["two senders in one full tank are 0.04 apart", { levelTo: 1, levelFrom: 0.96 }],
		["only the tank under the tube is full", { levelFrom: 1 }],
	])("nothing is, where %s", (_, change) => {
		expect(counted(change)).toEqual({});
		expect(silent(change)).toEqual([]);
	});
});

describe("a reading that says nothing", () => {
	it.each<[string, Change, Name]>([
		["of the probe", { probe: "short" }, "probeUnknownMs"],
		["of the stop loop", { stop: "stale" }, "stopUnknownMs"],
		["of the meter", { flowLph: "stale" }, "lowFlowMs"],
	])("%s counts by itself", (_, change, name) => {
		expect(counted(change)).toEqual({ [name]: 1_000 });
	});

	it.each<[string, Change, Name[]]>([
		["the probe", { probe: "open" }, ["probeWetMs"]],
		["the tray", { tray: "open" }, ["trayWetMs"]],
		["the return's seat", { returnSeat: "open" }, ["returnOutMs"]],
		["the current", { motorAmps: "stale" }, ["overAmpsMs"]],
		["the volts", { supplyVolts: "stale" }, ["underVoltsMs", "overVoltsMs"]],
		["the vacuum", { vacuumKpa: "short" }, ["overVacuumMs"]],
		["the level under the return", { levelTo: "open" }, ["overFullMs"]],
		["the case", { caseC: "open" }, ["overHotMs"]],
	])("%s: it stands still, neither yes nor no", (_, change, names) => {
		expect(silent(change)).toEqual(names);
	});
});

describe("a channel that is not fitted", () => {
	it.each<Change>([
		{ tray: "not-fitted" },
		{ returnSeat: "not-fitted" },
		{ vacuumKpa: "not-fitted" },
		{ levelTo: "not-fitted" },
		{ levelFrom: "not-fitted" },
		{ caseC: "not-fitted" },
		{ supplyVolts: "not-fitted" },
		{ motorAmps: "not-fitted" },
	])("is past no mark, and known: %j", (change) => {
		expect(timeHard(hardAtBoot, marks, { ...well, ...change }, true, 1_000)).toBe(hardAtBoot);
		const wet = timeHard(hardAtBoot, marks, { ...well, probe: "wet" }, true, 0);
		const after = timeHard(wet, marks, { ...well, ...change }, true, 1_000);
		expect(after).toEqual({ ...hardAtBoot, probeWetMs: { ms: 1_000, atMs: 1_000, seen: false } });
	});

	it("of those that no pump may run without counts as silent", () => {
		expect(counted({ probe: "not-fitted" })).toEqual({ probeUnknownMs: 1_000 });
		expect(counted({ stop: "not-fitted" })).toEqual({ stopUnknownMs: 1_000 });
	});
});

describe("counting", () => {
	const wet = { ...well, probe: "wet" } as const;

	it("adds a flapping reading up while the motor is on", () => {
		let state = timeHard(hardAtBoot, marks, wet, true, 0);
		state = timeHard(state, marks, well, true, 1_000);
		state = timeHard(state, marks, wet, true, 2_000);
		expect(state.probeWetMs).toEqual({ ms: 800, atMs: 2_000, seen: true });
	});

	it("goes by how the reading stands while the motor is off", () => {
		let state = timeHard(hardAtBoot, marks, wet, false, 0);
		state = timeHard(state, marks, wet, false, 1_000);
		expect(state.probeWetMs.ms).toBe(1_000);
		state = timeHard(state, marks, well, false, 2_000);
		expect(state.probeWetMs).toEqual(EMPTY_LEAKY);
	});

	it("takes no flow for what it is while the motor is off", () => {
		for (const flowLph of [0, "stale"] as const) {
			const readings = { ...well, flowLph };
			expect(timeHard(hardAtBoot, marks, readings, false, 1_000)).toBe(hardAtBoot);
			const dry = timeHard(hardAtBoot, marks, readings, true, 0);
			expect(dry.lowFlowMs).toEqual({ ms: 0, atMs: 0, seen: true });
			expect(timeHard(dry, marks, readings, false, 1_000)).toBe(hardAtBoot);
		}
	});

	it("keeps the same object while nothing is past a mark", () => {
		expect(timeHard(hardAtBoot, marks, well, true, 1_000)).toBe(hardAtBoot);
		expect(timeHard(hardAtBoot, marks, well, false, 1_000)).toBe(hardAtBoot);
	});

	it("is as at boot again when all of it has leaked away, and not before", () => {
		const once = timeHard(hardAtBoot, marks, wet, true, 0);
		const nearly = timeHard(timeHard(once, marks, well, true, 1_000), marks, well, true, 5_999);
		expect(nearly.probeWetMs.ms).toBeCloseTo(0.2, 9);
		expect(timeHard(nearly, marks, well, true, 6_001)).toBe(hardAtBoot);
	});

	it("leaves the times before it as they were", () => {
		const before = { ...hardAtBoot };
		timeHard(before, marks, wet, true, 1_000);
		expect(before).toEqual(hardAtBoot);
	});
});
