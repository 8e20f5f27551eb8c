// The rig model and the sensors' arithmetic against published formulas: not the functions alone,
// which adapters.ts holds to their rows, but the rig as it runs. Each source stands beside its
// check.

import { describe, expect, it } from "vitest";
import type { Rig } from "../../firmware/config/rig.ts";
import { gaugeKpa } from "../../firmware/sense/channels.ts";
import { farEndOhm } from "../../firmware/sense/supervised-loop.ts";
import { DEAD_MAN, edgeRiseVolts } from "../../sim/dead-man.ts";
import type { RigModel } from "../../sim/rig.ts";
import { loopShare } from "../../sim/signals.ts";
import { COARSE, DIRT, dirtKg, FINE } from "../../sim/species.ts";
import { modelOf, pump, STEP_S, tankOf } from "../stories/rig-world.ts";
import { exampleRig, pins } from "../stories/world.ts";
import { row } from "./rows.ts";

/** Dirt left in a mixed tank after each of the turnovers, as a share, by the running rig. */
function dirtLeft(efficiency: number, turnovers: readonly number[]): number[] {
	const example = exampleRig();
	// Tested ratios that are the same at every size: one efficiency for all dirt.
	const beta = efficiency >= 1 ? 1e5 : 1 / (1 - efficiency);
	const element = { ...example.element, betas: [{ micron: 10, beta }], dirtToChangeGrams: 5_000 };
	const rig: Rig = { ...example, element };
	const model = modelOf({ fuelLitres: 20, dirtGrams: 100 }, { settles: false }, rig);
	const tank = tankOf(model);
	// Line and bowl filled first, until what comes back is what went out.
	pump(model, 120);
	const litres = tank.volumeM3 * 1e3;
	const kg = dirtKg(tank.bulk);
	const from = model.path.truth.litresThroughPump;
	return turnovers.map((count) => {
		while (model.path.truth.litresThroughPump - from < count * litres) pump(model, STEP_S * 2);
		return dirtKg(tank.bulk) / kg;
	});
}

describe("dilution of a mixed tank: C/C0 = exp(-eta Q t / V) (ideal mixed reactor)", () => {
	it.each(["turnover-eta100", "turnover-eta50"])("row %s", (id) => {
		const { input, expected, source } = row(id);
		expect(source).toContain("exp(-eta Q t/V)");
		const found = dirtLeft(input("efficiency")[0] ?? 0, input("turnovers_Qt_over_V").slice(0, 4));
		found.forEach((value, i) => {
			const wanted = expected("mixed_C_over_C0")[i] ?? Number.NaN;
			// The bowl is a second mixed volume in the ring, of 5 % of this small tank's.
			expect(Math.log(value) / Math.log(wanted)).toBeGreaterThan(0.93);
			expect(Math.log(value) / Math.log(wanted)).toBeLessThan(1.03);
		});
	});
});

describe("the operating point", () => {
	it("draws the vacuum that lift and friction ask for: row suction-assembled-1's equation", () => {
		// Bernoulli with Hagen-Poiseuille: the same sum, with the rig's own lengths and fuel.
		const model = modelOf({ fuelLitres: 200 });
		pump(model, 120);
		const { path, fuel } = model;
		const flow = path.pumpedM3 / STEP_S;
		const laminar = (m: number, bore: number) =>
			(128 * fuel.dynamicPas * m * flow) / (Math.PI * bore ** 4);
		const liftM = 1.154 - tankOf(model).dipM;
		const speed = flow / ((Math.PI / 4) * 0.008 ** 2);
		// Losses: projecting inlet 0.78, exit 1, and two bends of 0.4 at most (rows K-*).
		const losses = 0.5 * fuel.densityKgM3 * speed * speed * (0.78 + 1 + 2 * 0.4);
		const element = (4_000 * flow * 3.6e6) / 95;
		const wanted =
			fuel.densityKgM3 * 9.80665 * liftM + laminar(1.15 + 2.4, 0.008) + losses + element;
		expect(path.vacuumKpa * 1e3).toBeGreaterThan(wanted * 0.99);
		expect(path.vacuumKpa * 1e3).toBeLessThan(wanted * 1.01);
	});

	it("is the same to 0.5 % at steps of 100 and of 10 ms, priming included", () => {
		const port = { fuelLitres: 150, freeWaterLitres: 0.3, dispersedWaterPpm: 200, dirtGrams: 30 };
		const [coarse, fine] = [0.1, 0.01].map((stepS) => {
			const model = modelOf(port, { airC: 4, seed: 3 });
			pump(model, 600, { stepS });
			return model;
		});
		if (coarse === undefined || fine === undefined) throw new Error("no model");
		const same = (what: (model: RigModel) => number) =>
			expect(Math.abs(what(coarse) / what(fine) - 1)).toBeLessThan(0.005);
		same((model) => model.truth.litresThroughPump);
		same((model) => model.path.vacuumKpa);
		same((model) => model.path.bowl.sumpWaterM3);
		same((model) => dirtKg(model.path.element.holds));
		same((model) => model.supply.ampHours);
		same((model) => model.sensors.pulses);
	});
});

describe("three kinds of water", () => {
	const port = { fuelLitres: 60, dispersedWaterPpm: 800 };

	it("fine dispersed water passes the bowl, and the element's stated share stays behind", () => {
		const example = exampleRig();
		const element = { ...example.element, waterEfficiency: 0.6 };
		const model = modelOf(port, { settles: false }, { ...example, element });
		const tank = tankOf(model);
		const before = (tank.bulk[FINE] ?? 0) / tank.bulkM3;
		pump(model, 300);
		const { truth } = model;
		expect(truth.freeWaterPastBowlMl).toBe(0);
		// Of 560 ppm of fine water 40 % goes on; next to none of it falls out in the bowl.
		const fine = (truth.dispersedWaterPastElementMl * 999e-6) / (truth.litresThroughPump / 1e3);
		expect(fine / before).toBeGreaterThan(0.3);
		expect(fine / before).toBeLessThan(0.41);
	});

	it("coarse drops fall by Stokes and haze stays: what a night's stand takes out", () => {
		const model = modelOf(port);
		const tank = tankOf(model);
		const [coarse, fine] = [tank.bulk[COARSE] ?? 0, tank.bulk[FINE] ?? 0];
		for (let s = 0; s < 8 * 3_600; s += 1) model.step(1);
		expect((tank.bulk[COARSE] ?? 0) / coarse).toBeLessThan(0.001);
		expect((tank.bulk[FINE] ?? 0) / fine).toBeGreaterThan(0.3);
		expect(tank.waterDepthM).toBeGreaterThan(0);
	});

	it("dissolved water falls out as haze and settles when the fuel cools", () => {
		const model = modelOf({ fuelLitres: 100 }, { airC: 2, fuelC: 30 });
		const tank = tankOf(model);
		expect(tank.bulk[FINE]).toBe(0);
		for (let s = 0; s < 24 * 3_600; s += 1) model.step(1);
		expect((tank.floor[1] ?? 0) + (tank.bulk[FINE] ?? 0)).toBeGreaterThan(0.0005);
	});
});

it("dirt in the model has as many sizes as its masses have room for", () => {
	const model = modelOf({ dirtGrams: 10 });
	expect(dirtKg(tankOf(model).bulk)).toBeCloseTo(0.01, 12);
	expect(tankOf(model).bulk[DIRT]).toBeGreaterThan(0);
});

describe("sensors", () => {
	it("ratiometric 10 % to 90 % transfer: row pressure-ratiometric", () => {
		const { input, expected } = row("pressure-ratiometric");
		const channel = pins.channels.vacuum;
		if (channel?.kind !== "analog") throw new Error("no vacuum channel");
		const { zeroShare = 0, kpaPerShare = 0 } = channel.gauge ?? {};
		input("code").forEach((code, i) => {
			const kpa = gaugeKpa(code, pins.adc.bits, zeroShare, kpaPerShare);
			expect(kpa).toBeCloseTo(expected("kPa")[i] ?? Number.NaN, 4);
		});
	});

	it.each(["stop-loop", "tray"])("%s: four voltages by Ohm's law, each told apart", (name) => {
		const channel = pins.channels[name];
		if (channel?.kind !== "analog" || channel.loop === undefined) throw new Error("no loop");
		const { loop } = channel;
		const read = (share: number) => {
			const raw = Math.min(1023, Math.floor(share * 1024));
			return farEndOhm({ raw, ageMs: 0 }, loop, pins.adc.bits);
		};
		// From 100 Ω of sea water to the setpoint's upper end; the divider's own resolution is 3 %.
		for (const ohm of [100, 5_000, 20_000, 100_000, 300_000, 500_000]) {
			if (ohm > loop.endOfLineOhm / 2) continue;
			const found = read(loopShare(loop, ohm));
			expect(typeof found).toBe("number");
			expect(Math.abs(Number(found) - ohm)).toBeLessThan(0.03 * ohm + 0.006 * loop.pullUpOhm);
		}
		expect(read(loopShare(loop, Number.POSITIVE_INFINITY))).toBe(Number.POSITIVE_INFINITY);
		expect(read(0)).toBe("short");
		expect(read(1)).toBe("open");
	});

	it("an end-of-line resistor is at least twice the probe's largest threshold", () => {
		const channel = pins.channels["bowl-probe"];
		const bridge = channel?.kind === "analog" ? channel.bridge : undefined;
		expect(bridge?.endOfLineOhm).toBeGreaterThanOrEqual(2 * 500_000);
	});
});

describe("the dead-man's charge pump", () => {
	it("first edge by charge sharing V = (V_drive - V_F) C1/(C1+C2): row deadman-ideal", () => {
		const { input, expected } = row("deadman-ideal");
		input("C1").forEach((c1, i) => {
			const parts = {
				...DEAD_MAN,
				driveVolts: input("V_drive")[0] ?? 0,
				// The row's drop is of both diodes together.
				diodeVolts: (input("VF")[0] ?? 0) / 2,
				c1Farad: c1,
				c2Farad: input("C2")[i] ?? 0,
			};
			expect(edgeRiseVolts(parts, 0)).toBeCloseTo(expected("first_edge_V")[i] ?? Number.NaN, 6);
		});
	});
});
