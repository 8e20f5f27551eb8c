// What the rig model does when something happens to it: cause -> outcome, as a person aboard would
// see it. The numbers behind it are held to published values in test/reference.

import { describe, expect, it } from "vitest";
import { FREE, FUEL, waterKg } from "../../sim/species.ts";
import { CLEAN, flowLph, modelOf, pump, tankOf } from "./rig-world.ts";
import { exampleRig } from "./world.ts";

const twoTanks = new Map([
	["port", CLEAN],
	["day", { ...CLEAN, fuelLitres: 60 }],
]);

describe("priming", () => {
	it("fuel climbs the tube, then the flow comes: later through a longer hose", () => {
		const primeS = (lengthMm: number) => {
			const rig = exampleRig();
			const model = modelOf({}, {}, { ...rig, hose: { ...rig.hose, lengthMm } });
			// The bowl's own fill goes first.
			pump(model, 2);
			let seconds = 2;
			while (flowLph(model) < 80 && seconds < 120) {
				pump(model, 0.2);
				seconds += 0.2;
			}
			return seconds;
		};
		const [short, long] = [primeS(1_000), primeS(8_000)];
		expect(short).toBeGreaterThan(3);
		expect(short).toBeLessThan(20);
		expect(long).toBeGreaterThan(short + 8);
	});

	it("a lift beyond the pump's dry suction never primes", () => {
		const rig = exampleRig();
		const dry = { ...rig, pump: { ...rig.pump, drySuctionKpa: 4 } };
		const model = modelOf({}, {}, dry);
		pump(model, 120);
		expect(flowLph(model)).toBeLessThan(1);
		expect(model.truth.dryPumpSeconds).toBeGreaterThan(100);
	});
});

describe("the tube leaves the fuel", () => {
	it("lift is lost in the vacuum within 4 s, and the pump is dry some seconds later", () => {
		const model = modelOf();
		pump(model, 120);
		const before = model.path.vacuumKpa;
		model.breaks("tube-lifted");
		let dryAfter = 0;
		pump(model, 4);
		expect(before - model.path.vacuumKpa).toBeGreaterThan(3);
		pump(model, 20, {
			each: () => {
				if (!model.path.dry) dryAfter += 0.1;
			},
		});
		expect(dryAfter).toBeGreaterThan(1);
		expect(dryAfter).toBeLessThan(10);
		expect(flowLph(model)).toBeLessThan(2);
	});

	it("at sea and low in the tank it sucks air for a part of each roll, never when full", () => {
		const sea = { rollDeg: 12, periodS: 5 };
		const airShare = (fuelLitres: number) => {
			const model = modelOf({ fuelLitres }, { sea });
			pump(model, 60);
			let [air, steps] = [0, 0];
			pump(model, 300, {
				each: () => {
					air += model.path.pickUp.airShare;
					steps += 1;
				},
			});
			return air / steps;
		};
		expect(airShare(180)).toBe(0);
		const low = airShare(18);
		expect(low).toBeGreaterThan(0.02);
		expect(low).toBeLessThan(0.6);
	});
});

describe("cold", () => {
	it("draws more vacuum and gives less flow, dirt or no dirt", () => {
		const at = (airC: number) => {
			const model = modelOf({}, { airC });
			pump(model, 120);
			return { vacuum: model.path.vacuumKpa, flow: flowLph(model) };
		};
		const [cold, warm] = [at(0), at(25)];
		expect(cold.vacuum).toBeGreaterThan(1.15 * warm.vacuum);
		expect(cold.flow).toBeLessThan(warm.flow);
	});

	it("below the cloud point wax plugs a clean element, and melts when it is warm again", () => {
		const model = modelOf({}, { airC: 20, fuelC: -10 });
		pump(model, 600);
		const waxed = model.path.element.holds[FUEL] ?? 0;
		expect(waxed).toBeGreaterThan(0.01);
		model.fuel.celsius = 5;
		pump(model, 1_800, { on: false });
		expect(model.path.element.holds[FUEL]).toBeLessThan(0.1 * waxed);
	});
});

describe("the pressure side", () => {
	/** The example rig without its pressure switch and its bypass. */
	const bare = () => {
		const rig = exampleRig();
		const { pressureSwitchKpa, bypassKpa, ...pump } = rig.pump;
		return { ...rig, pump };
	};

	it("a shut return stops the flow, and a pressure switch stops the motor", () => {
		const rig = bare();
		const switched = { ...rig, pump: { ...rig.pump, pressureSwitchKpa: 80 } };
		for (const [kind, still] of [
			[rig, false],
			[switched, true],
		] as const) {
			const model = modelOf({}, {}, kind);
			pump(model, 60);
			model.breaks("return-shut");
			pump(model, 5);
			expect(flowLph(model)).toBe(0);
			expect(model.motor.powered).toBe(!still);
		}
	});

	it("the pressure switch does so by K2: a welded K2 is out of its reach", () => {
		const rig = bare();
		const switched = { ...rig, pump: { ...rig.pump, pressureSwitchKpa: 80 } };
		for (const welded of [false, true]) {
			const model = modelOf({}, {}, switched);
			pump(model, 60);
			if (welded) model.breaks("k2-welded");
			model.breaks("return-shut");
			pump(model, 5);
			expect([model.pressureSwitchOpen, model.k2Closed]).toEqual([true, welded]);
			expect(model.motor.powered).toBe(welded);
		}
	});

	it("a return that falls out opens K2 by itself, where its fitting has a switch", () => {
		const rig = exampleRig();
		const sensors = rig.sensors.filter((name) => name !== "return-seat");
		for (const [kind, runs] of [
			[rig, false],
			[{ ...rig, sensors }, true],
		] as const) {
			const model = modelOf({}, {}, kind);
			pump(model, 60);
			expect(model.motor.powered).toBe(true);
			model.breaks("return-out");
			pump(model, 1);
			expect(model.motor.powered).toBe(runs);
		}
	});

	it("a bypass keeps the pressure, and with it the current, lower than dead head does", () => {
		const rig = bare();
		const amps = [rig, { ...rig, pump: { ...rig.pump, bypassKpa: 50 } }].map((kind) => {
			const model = modelOf({}, {}, kind);
			pump(model, 60);
			model.breaks("return-shut");
			pump(model, 5);
			return model.motor.amps;
		});
		expect(amps[1] ?? 0).toBeLessThan(0.85 * (amps[0] ?? 0));
	});

	it("a full tank runs over through its vent", () => {
		const model = modelOf({}, { tanks: twoTanks, returnTank: "day" });
		pump(model, 1_500);
		expect(model.truth.litresSpilled).toBeGreaterThan(1);
		expect(tankOf(model, "day").volumeM3).toBeLessThan(0.0901);
	});

	it("shut vents change the pressure over both tanks of a transfer", () => {
		const tanks = new Map([...twoTanks, ["day", { ...CLEAN, fuelLitres: 80 }]]);
		const model = modelOf({}, { tanks, returnTank: "day" });
		model.breaks("vent-shut");
		pump(model, 300);
		expect(tankOf(model, "day").gaugePa).toBeGreaterThan(20e3);
		expect(tankOf(model).gaugePa).toBeLessThan(-2e3);
	});

	it("a blocked anti-siphon hole lets fuel run with the pump off, a free one does not", () => {
		const model = modelOf();
		pump(model, 60);
		pump(model, 60, { on: false });
		const { litresThroughPump } = model.truth;
		pump(model, 60, { on: false });
		expect(model.truth.litresThroughPump).toBe(litresThroughPump);
		model.breaks("return-out");
		model.breaks("siphon");
		pump(model, 60, { on: false });
		expect(model.truth.litresSpilled).toBeGreaterThan(0.02);
	});
});

describe("the suction side", () => {
	it("air through a joint takes the flow down, little by little with its size", () => {
		const flowWith = (size: number) => {
			const model = modelOf();
			pump(model, 120);
			model.breaks("air-leak", size);
			pump(model, 120);
			return flowLph(model);
		};
		const [none, some, much] = [0, 20, 300].map(flowWith);
		expect(some ?? 0).toBeLessThan((none ?? 0) - 10);
		expect(much ?? 0).toBeLessThan(5);
	});

	it("an element that plugs over a quarter of an hour takes the vacuum up little by little", () => {
		const model = modelOf();
		pump(model, 120);
		model.breaks("element-plugs", 8, 900);
		const vacuum = [0, 300, 300, 300, 300].map((seconds) => {
			pump(model, seconds);
			return model.path.vacuumKpa;
		});
		const steps = vacuum.slice(1).map((kpa, i) => kpa - (vacuum[i] ?? 0));
		for (const step of steps.slice(0, 3)) expect(step).toBeGreaterThan(4);
		expect(Math.abs(steps[3] ?? 1)).toBeLessThan(0.1);
	});

	it("a tube against a wall raises the vacuum at once", () => {
		const model = modelOf();
		pump(model, 120);
		const before = model.path.vacuumKpa;
		model.breaks("tube-blocked");
		pump(model, 3);
		expect(model.path.vacuumKpa).toBeGreaterThan(before + 10);
	});

	it("water under the tube is drawn first, and a slug comes whole", () => {
		const model = modelOf({ freeWaterLitres: 0.2 });
		pump(model, 300);
		expect(tankOf(model).floor[FREE]).toBeLessThan(0.08);
		const inBowl = model.path.bowl.sumpWaterM3;
		model.breaks("water-slug", 100);
		pump(model, 60);
		expect((model.path.bowl.sumpWaterM3 - inBowl) * 1e6).toBeGreaterThan(95);
	});

	it("water that fills the bowl past its brim is carried over, none before", () => {
		const model = modelOf({ freeWaterLitres: 4 });
		let before = 0;
		pump(model, 240, {
			each: () => {
				const { mixed, sump } = model.path.bowl;
				const litres = ((mixed[FREE] ?? 0) + (sump[FREE] ?? 0)) / 0.999;
				if (litres < 0.54) before = model.truth.freeWaterPastBowlMl;
			},
		});
		expect(before).toBe(0);
		expect(model.truth.freeWaterPastBowlMl).toBeGreaterThan(100);
	});
});

describe("the supply", () => {
	it("a seized pump stalls the motor, and the fuse melts", () => {
		const model = modelOf();
		model.breaks("pump-seized");
		pump(model, 3);
		expect(model.motor.amps).toBeGreaterThan(8);
		pump(model, 10);
		expect(model.supply.fuseMelted).toBe(true);
		expect(model.motor.amps).toBe(0);
	});

	it("a weak battery sags under the pump, a mad charger lifts it", () => {
		const weak = modelOf();
		pump(weak, 20);
		const good = weak.supply.volts;
		weak.breaks("battery-weak", 1);
		pump(weak, 5);
		expect(weak.supply.volts).toBeLessThan(good - 1);
		const mad = modelOf();
		mad.breaks("charger-overvoltage", 17);
		pump(mad, 5, { on: false });
		expect(mad.supply.volts).toBeGreaterThan(14.5);
	});
});

describe("the motor", () => {
	it("grows hot when its cooling is blocked, and only then", () => {
		const caseC = (blocked: boolean) => {
			const model = modelOf();
			if (blocked) model.breaks("motor-hot");
			pump(model, 2_400);
			return model.sensors.caseC;
		};
		expect(caseC(false)).toBeLessThan(70);
		expect(caseC(true)).toBeGreaterThan(90);
	});
});

describe("the tap between bowl and element", () => {
	it("reads the inlet's vacuum less what the element takes", () => {
		const rig = exampleRig();
		const model = modelOf({}, {}, { ...rig, sensors: [...rig.sensors, "bowl-tap"] });
		const drop = () => model.sensors.vacuumKpa - model.sensors.bowlKpa;
		pump(model, 120);
		// A clean element takes 4 kPa at free flow, by the rig file.
		expect(drop()).toBeGreaterThan(3);
		expect(drop()).toBeLessThan(5);
		model.breaks("element-plugs", 4);
		pump(model, 30);
		expect(drop()).toBeGreaterThan(10);
		model.mends("element-plugs");
		model.breaks("tube-blocked");
		pump(model, 30);
		expect(drop()).toBeLessThan(5);
	});
});

describe("sensors", () => {
	it("a turbine turns on air, a displacement meter hardly does", () => {
		const rig = exampleRig();
		const turbine = { ...rig, meter: { ...rig.meter, kind: "turbine" as const } };
		const onAir = [rig, turbine].map((kind) => {
			const model = modelOf({}, {}, kind);
			model.breaks("tube-lifted");
			pump(model, 60);
			const before = model.sensors.pulses;
			pump(model, 60);
			return (model.sensors.pulses - before) / 420;
		});
		expect(onAir[0] ?? 0).toBeLessThan(0.12);
		expect(onAir[1] ?? 0).toBeGreaterThan(0.3);
	});

	it("the probe sees water, and does not see ice, film or air", () => {
		const model = modelOf({ freeWaterLitres: 3 });
		expect(model.sensors.probeOhm).toBe(Number.POSITIVE_INFINITY);
		pump(model, 60);
		expect(model.sensors.probeOhm).toBe(20_000);
		model.breaks("probe-fouled");
		expect(model.sensors.probeOhm).toBeGreaterThan(1e6);
		model.mends("probe-fouled");
		model.breaks("ice-in-bowl");
		expect(model.sensors.probeOhm).toBe(Number.POSITIVE_INFINITY);
	});

	it("seat switches, tray and level tell what they stand for", () => {
		const model = modelOf();
		const { sensors } = model;
		expect([sensors.returnSeated, sensors.tubeSeated, sensors.trayWet]).toEqual([
			true,
			true,
			false,
		]);
		expect(sensors.levelFrom).toBeCloseTo(180 / 310, 2);
		expect(sensors.levelTo).toBeCloseTo(180 / 310, 2);
		model.breaks("hose-off");
		pump(model, 60);
		expect(sensors.trayWet).toBe(true);
		model.breaks("return-out");
		model.breaks("tube-unseated");
		pump(model, 120);
		expect([sensors.returnSeated, sensors.tubeSeated]).toEqual([false, false]);
		// The senders hang in the heads of tube and return, and come out with them.
		expect(sensors.levelFrom).toBeLessThan(0.01);
		expect(sensors.levelTo).toBeLessThan(0.01);
		expect(waterKg(model.path.spill)).toBeGreaterThanOrEqual(0);
	});
});
