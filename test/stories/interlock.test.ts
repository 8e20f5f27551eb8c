// The interlock as a table: which reading vetoes the pump, which does not, and its one bit of
// memory. Each rule also stops the pump through the controller when the detectors say nothing.

import { describe, expect, it } from "vitest";
import { createController, STAGES } from "../../firmware/controller.ts";
import { setpointRows } from "../../firmware/cycle/setpoints.ts";
import { INTERLOCK, interlock } from "../../firmware/interlock.ts";
import type { Sensed } from "../../firmware/sense/sensed.ts";
import { wellSensed as well } from "./well.ts";
import { exampleRig, pins, World } from "./world.ts";

const FREE = { holding: false };

const { wetMsMax, dryPumpMsMax, pumpOnMsMax, unknownMsMax } = INTERLOCK;

describe("vetoes", () => {
	it.each<[string, Partial<Sensed>, string]>([
		["the stop button pressed, at once", { stop: "broken" }, "stop-button"],
		["the stop loop cut", { stop: "open", stopUnknownMs: unknownMsMax + 1 }, "sensor-fault"],
		["the stop loop never heard", { stop: "not-fitted", stopUnknownMs: 9_999 }, "sensor-fault"],
		["water at the probe", { probe: "wet", probeWetMs: wetMsMax + 1 }, "water-in-bowl"],
		["the probe shorted", { probe: "short", probeUnknownMs: unknownMsMax + 1 }, "sensor-fault"],
		["the probe's reading old", { probe: "stale", probeUnknownMs: 3_501 }, "sensor-fault"],
		["no fuel for too long", { lowFlowMs: dryPumpMsMax + 1 }, "dry-run"],
		["one stretch too long", { pumpOnMs: pumpOnMsMax + 1 }, "time-limit"],
	])("%s", (_, change, code) => {
		const verdict = interlock(true, { ...well, ...change }, FREE);
		expect(verdict.allow).toBe(false);
		expect(verdict.veto?.code).toBe(code);
		expect(verdict.memory.holding).toBe(true);
	});
});

describe("lets pass", () => {
	it.each<[string, Partial<Sensed>]>([
		["everything well", {}],
		["the stop loop cut just now", { stop: "open", stopUnknownMs: unknownMsMax }],
		["the probe wet just now", { probe: "wet", probeWetMs: wetMsMax }],
		["the probe's wire cut just now", { probe: "open", probeUnknownMs: unknownMsMax }],
		["the longest dry run", { lowFlowMs: dryPumpMsMax }],
		["the longest stretch", { pumpOnMs: pumpOnMsMax }],
	])("%s", (_, change) => {
		expect(interlock(true, { ...well, ...change }, FREE)).toEqual({ allow: true, memory: FREE });
	});
});

describe("its one bit of memory", () => {
	it("opens once for a reading that flaps, and stays open until the demand has been false", () => {
		let memory = FREE;
		const allowed = Array.from({ length: 40 }, (_, tick) => {
			const stop = tick % 2 === 1 ? "broken" : "made";
			const verdict = interlock(true, { ...well, stop }, memory);
			memory = verdict.memory;
			return verdict.allow;
		});
		expect(allowed.indexOf(false)).toBe(1);
		expect(allowed.lastIndexOf(true)).toBe(0);
		memory = interlock(false, well, memory).memory;
		expect(interlock(true, well, memory).allow).toBe(true);
	});

	it("never allows what is not demanded", () => {
		expect(interlock(false, well, FREE).allow).toBe(false);
		expect(interlock(false, well, { holding: true })).toEqual({ allow: false, memory: FREE });
	});
});

describe("stands behind the detectors", () => {
	// The findings are silenced once the rig polishes: the statechart no longer hears of anything.
	const deaf = () => {
		let silenced = false;
		const find: typeof STAGES.find = (plan, before, ...rest) =>
			silenced ? { state: before, events: [], button: null } : STAGES.find(plan, before, ...rest);
		const rig = exampleRig();
		const world = new World(rig, createController(rig, pins, { ...STAGES, find }));
		world.pass(1);
		world.polish();
		world.passUntil(() => world.name === "polishing", 60);
		silenced = true;
		return world;
	};

	it.each<[string, (world: World) => void, number, string]>([
		["water", (world) => world.set({ probeOhm: 20_000 }), 2.7, "water-in-bowl"],
		["the stop button", (world) => world.set({ stopPressed: true }), 0.1, "stop-button"],
		["no flow", (world) => world.set({ flowLph: 0 }), 61.6, "dry-run"],
		["a silent probe", ({ facts }) => facts.silent.add("bowl-probe"), 4.3, "sensor-fault"],
	])("%s opens the pump and becomes a trip", (_, happens, withinS, code) => {
		const world = deaf();
		happens(world);
		world.passUntil(() => !world.pumpDemanded, withinS);
		expect(world.name).toBe("tripped");
		expect(world.of("trip").map((trip) => trip.code)).toEqual([code]);
		expect(world.of("trip")[0]?.cause).toContain("interlock");
	});
});

it("its limits lie outside every setpoint's range", () => {
	expect(setpointRows.waterDelayMs.max).toBeLessThan(wetMsMax);
	expect(setpointRows.sensorLostMs.max).toBeLessThan(unknownMsMax);
	expect(setpointRows.dryRunDelayMs.max).toBeLessThan(dryPumpMsMax);
});
