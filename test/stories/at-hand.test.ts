// What a person does at the simulated rig while proving it: each act has the effect that it would
// have aboard, and nothing else moves. The conductivities and the finger's width are in at-hand.ts.

import { describe, expect, it } from "vitest";
import { probeOutOhm } from "../../sim/at-hand.ts";
import type { BuildFault } from "../../sim/build-faults.ts";
import { type HandActName, handActs } from "../../sim/hand-acts.ts";
import { Instruments, SPANS } from "../../sim/instruments.ts";
import type { RigModel } from "../../sim/rig.ts";
import { Signals } from "../../sim/signals.ts";
import { flowLph, modelOf, pump, tankOf } from "./rig-world.ts";
import { pins } from "./world.ts";

const act = (model: RigModel, ...names: HandActName[]) => {
	for (const name of names) handActs[name].does(model);
};
const built = (...builtWrong: BuildFault[]) => modelOf({}, { builtWrong });
const loopOf = (model: RigModel, name: string) => new Signals(model, pins, 0).of(name);
/** Fuel is at the pump, and the pump runs. */
function running(model: RigModel): RigModel {
	pump(model, 60);
	expect(flowLph(model)).toBeGreaterThan(80);
	return model;
}

describe("the water probe out of its bowl", () => {
	it("conducts in water and hardly in anything else", () => {
		const model = modelOf();
		const ohm = (name: HandActName) => {
			act(model, name);
			return model.sensors.probeOhm;
		};
		expect(ohm("probe-air")).toBe(Number.POSITIVE_INFINITY);
		expect(ohm("probe-fuel")).toBeGreaterThan(1e9);
		// The threshold is 200 to 500 kΩ: distilled water with a pinch of tap water is under it.
		expect(ohm("probe-condensate")).toBeLessThan(200e3);
		expect(ohm("probe-condensate")).toBeGreaterThan(50e3);
		expect(ohm("probe-salt")).toBeLessThan(100);
		model.path.bowl.wet();
		expect(ohm("probe-air")).toBe(Number.POSITIVE_INFINITY);
		expect(ohm("probe-back")).toBe(20_000);
	});

	it("a film keeps it dry in any water", () => {
		const model = modelOf();
		model.breaks("probe-fouled");
		act(model, "probe-salt");
		expect(model.sensors.probeOhm).toBeGreaterThan(500e3);
		expect(probeOutOhm("salt")).toBeLessThan(500e3);
	});
});

describe("the tray's sensor", () => {
	it("rises in a cup of diesel, and in a measure of it in the tray", () => {
		const model = modelOf();
		expect(model.sensors.trayWet).toBe(false);
		act(model, "tray-dip");
		expect(model.sensors.trayWet).toBe(true);
		act(model, "tray-wipe");
		expect(model.sensors.trayWet).toBe(false);
		act(model, "tray-pour");
		expect(model.sensors.trayWet).toBe(true);
	});

	it("built wrong it sees neither", () => {
		const model = built("tray-blind");
		act(model, "tray-dip", "tray-pour");
		expect(model.sensors.trayWet).toBe(false);
	});
});

describe("K2's loop and the second poles", () => {
	const K2 = {
		stop: (model: RigModel) => {
			model.stopPressed = true;
		},
		return: (model: RigModel) => act(model, "lift-return"),
	};

	it.each([
		["stop", "plug-stop", "stop-loop", "stop-outside-loop"],
		["return", "plug-return", "return-seat", "return-outside-loop"],
	] as const)(
		"%s: the plug blinds the computer, and K2 opens all the same",
		(name, plug, channel, fault) => {
			const model = running(modelOf());
			const loop = loopOf(model, channel);
			const made = loop();
			act(model, plug);
			K2[name](model);
			expect(loop()).toBe(made);
			expect(model.k2Closed).toBe(false);
			pump(model, 1);
			expect(model.motor.amps).toBe(0);

			const wrong = running(built(fault));
			act(wrong, plug);
			K2[name](wrong);
			pump(wrong, 1);
			expect(wrong.k2Closed).toBe(true);
			expect(wrong.motor.amps).toBeGreaterThan(0.5);
			act(wrong, plug === "plug-stop" ? "unplug-stop" : "unplug-return");
			expect(loopOf(wrong, channel)()).not.toBe(made);
		},
	);
});

describe("fittings a finger's width up", () => {
	it("open their switches; nothing spills, and the foot stays in the fuel", () => {
		const model = running(modelOf());
		act(model, "lift-tube");
		expect(model.sensors.tubeSeated).toBe(false);
		pump(model, 20);
		expect(flowLph(model)).toBeGreaterThan(80);
		act(model, "lift-return");
		pump(model, 5);
		expect(model.sensors.returnSeated).toBe(false);
		expect(model.truth.litresSpilled).toBeCloseTo(0, 9);
		expect(model.truth.dryPumpSeconds).toBeLessThan(15);
	});
});

describe("valves", () => {
	it("the bowl's vent: the transducer reads the air's own pressure, at which it is nought", () => {
		const model = running(modelOf());
		pump(model, 5, { on: false });
		expect(Math.abs(model.sensors.vacuumKpa)).toBeGreaterThan(1);
		act(model, "vent-open");
		pump(model, 5, { on: false });
		expect(Math.abs(model.sensors.vacuumKpa)).toBeLessThan(0.5);
	});

	it("the suction valve: no flow, and the vacuum goes to what the pump can draw", () => {
		const model = running(modelOf());
		const before = model.path.vacuumKpa;
		act(model, "valve-shut");
		pump(model, 10);
		expect(flowLph(model)).toBeLessThan(2);
		expect(model.path.vacuumKpa).toBeGreaterThan(before + 20);
		act(model, "valve-open");
		pump(model, 20);
		expect(flowLph(model)).toBeGreaterThan(80);
	});

	it("the return's: the pressure switch opens and stops the motor", () => {
		const model = running(modelOf());
		act(model, "return-shut");
		pump(model, 2);
		expect(model.pressureSwitchOpen).toBe(true);
		expect(model.motor.amps).toBe(0);
		act(model, "return-open");
		pump(model, 2);
		expect(model.pressureSwitchOpen).toBe(false);
	});
});

it("the measuring can holds what the pump gave, and goes back into the tank", () => {
	const model = running(modelOf());
	const whole = () =>
		[...model.path.stores.values()].flatMap((one) => [...one]).reduce((a, b) => a + b);
	const [kg, before] = [whole(), model.truth.litresThroughPump];
	act(model, "can-under");
	const heldM3 = tankOf(model).volumeM3;
	pump(model, 40);
	pump(model, 5, { on: false });
	const gave = model.truth.litresThroughPump - before;
	expect(gave).toBeGreaterThan(0.9);
	expect(model.path.measuredLitres).toBeCloseTo(gave, 6);
	expect(heldM3 - tankOf(model).volumeM3).toBeCloseTo(gave / 1e3, 5);
	expect(model.sensors.returnSeated).toBe(true);
	act(model, "can-back");
	expect(model.path.measuredLitres).toBe(0);
	expect(tankOf(model).volumeM3).toBeCloseTo(heldM3, 6);
	expect(whole()).toBeCloseTo(kg, 9);
});

it("both temperature sensors beside a thermometer read the fuel's temperature", () => {
	const model = modelOf();
	pump(model, 1_200);
	expect(model.sensors.caseC).toBeGreaterThan(20);
	act(model, "sensors-together");
	pump(model, 200, { on: false });
	expect(Math.abs(model.sensors.caseC - model.fuel.celsius)).toBeLessThan(0.5);
});

describe("what the box shows", () => {
	const flash = (model: RigModel) => {
		for (let i = 0; i < 3; i += 1) {
			const on = { "lamp-pump": true, "lamp-trip": true, horn: true };
			const off = { "lamp-pump": false, "lamp-trip": false, horn: false };
			const rest = {
				"pump-demand": false,
				"dead-man-beat": false,
				"probe-plus": false,
				"probe-minus": false,
			};
			model.drive({ ...rest, ...on });
			model.drive({ ...rest, ...on });
			model.drive({ ...rest, ...off });
		}
		return [model.shown.pumpLamp, model.shown.tripLamp, model.shown.horn];
	};

	it("each flash and each sound counts once", () => {
		expect(flash(modelOf())).toEqual([3, 3, 3]);
	});

	it("a dark lamp and a silent horn count for nothing", () => {
		expect(flash(built("trip-lamp-dark", "horn-silent"))).toEqual([3, 0, 0]);
	});
});

it("instruments read the truth within their spans, each time a little otherwise", () => {
	const model = running(modelOf());
	const read = new Instruments(model, 3);
	const amps = Array.from({ length: 50 }, () => read.clampAmps);
	const span = SPANS.clampAmps + SPANS.clampShare * model.motor.amps + 0.005;
	expect(Math.max(...amps) - model.motor.amps).toBeLessThanOrEqual(span);
	expect(model.motor.amps - Math.min(...amps)).toBeLessThanOrEqual(span);
	expect(new Set(amps).size).toBeGreaterThan(3);
	const { volumeM3, capacityM3 } = tankOf(model);
	expect(Math.abs(read.dipFrom - volumeM3 / capacityM3)).toBeLessThan(0.01);
	expect(new Instruments(model, 3).clampAmps).toBe(amps[0]);
});
