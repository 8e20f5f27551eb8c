// What the physics files say of themselves and no row holds: no jump in the pressure drop, exact
// inverses, both laws of drag about the known limit.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { grades, liquidAt, waterSolubilityMgKg } from "../../sim/physics/diesel.ts";
import {
	colebrook,
	flowAtDropM3s,
	frictionFactor,
	type Liquid,
	type Pipe,
	pressureDropPa,
} from "../../sim/physics/pipe.ts";
import { schillerNaumannDrag, sphereDrag, terminalMps } from "../../sim/physics/settling.ts";
import {
	depthM,
	dipAtVolumeM,
	floorAreaM2,
	fullM3,
	surfaceAreaM2,
	type TankShape,
	volumeAtDipM3,
} from "../../sim/physics/tank-shape.ts";

/** What the properties draw from. */
const SEED = 20_261_126;

const real = (min: number, max: number) => fc.double({ min, max, noNaN: true });

const pipes: fc.Arbitrary<Pipe> = fc.record({
	lengthM: real(0.1, 20),
	boreM: real(0.003, 0.05),
	roughnessM: fc.constantFrom(0, 1.5e-6, 5e-5),
	lossK: real(0, 10),
});
const liquid: Liquid = { densityKgM3: 835, dynamicPas: 0.003992 };

describe("pressure drop", () => {
	it("rises with flow through all regimes, and is odd", () => {
		fc.assert(
			fc.property(pipes, real(1e-8, 3e-3), real(1e-6, 1), (pipe, flow, more) => {
				const drop = pressureDropPa(pipe, liquid, flow);
				expect(pressureDropPa(pipe, liquid, flow * (1 + more))).toBeGreaterThan(drop);
				expect(pressureDropPa(pipe, liquid, -flow)).toBe(-drop);
			}),
			{ seed: SEED },
		);
	});

	it("has no step where the regimes meet", () => {
		for (const re of [2040, 4000]) {
			const step = frictionFactor(re * (1 + 1e-12), 1e-3) / frictionFactor(re * (1 - 1e-12), 1e-3);
			expect(Math.abs(step - 1)).toBeLessThan(1e-10);
		}
	});

	it("gives the flow back", () => {
		fc.assert(
			fc.property(pipes, real(-3e-3, 3e-3), (pipe, flow) => {
				const back = flowAtDropM3s(pipe, liquid, pressureDropPa(pipe, liquid, flow));
				expect(Math.abs(back - flow)).toBeLessThanOrEqual(1e-12 * Math.abs(flow));
			}),
			{ seed: SEED },
		);
	});

	it("Colebrook's equation holds to 1e-9 in 1/sqrt f", () => {
		fc.assert(
			fc.property(real(Math.log(2000), Math.log(1e8)), real(0, 0.05), (lnRe, rough) => {
				const re = Math.exp(lnRe);
				const x = 1 / Math.sqrt(colebrook(re, rough));
				const right = -2 * Math.log10(rough / 3.7 + (2.51 * x) / re);
				expect(Math.abs(right / x - 1)).toBeLessThan(1e-9);
			}),
			{ seed: SEED },
		);
	});
});

const shapes: fc.Arbitrary<TankShape> = fc.oneof(
	fc.record({
		kind: fc.constant("rectangular" as const),
		lengthM: real(0.2, 4),
		widthM: real(0.2, 2),
		depthM: real(0.2, 2),
	}),
	fc.record({
		kind: fc.constant("wedge" as const),
		lengthM: real(0.2, 4),
		topWidthM: real(0.2, 2),
		depthM: real(0.5, 2),
		vDepthM: real(0.05, 0.5),
	}),
	fc.record({
		kind: fc.constant("horizontal-cylinder" as const),
		lengthM: real(0.2, 4),
		diameterM: real(0.2, 2),
		headDepthM: real(0, 0.5),
	}),
	fc.record({
		kind: fc.constant("vertical-cylinder" as const),
		diameterM: real(0.2, 2),
		heightM: real(0.2, 2),
		bottomConeM: fc.constantFrom(0, 0.3),
		topConeM: fc.constantFrom(0, 0.2),
	}),
	fc.constant({
		kind: "dip-table" as const,
		dipM: [0, 0.1, 0.25, 0.6],
		volumeM3: [0, 0.004, 0.03, 0.11],
	}),
);

describe("tanks", () => {
	it("a dip gives its volume and the volume gives the dip back to 1e-9", () => {
		fc.assert(
			fc.property(shapes, real(0.001, 1), (shape, share) => {
				const volume = share * fullM3(shape);
				const dip = dipAtVolumeM(shape, volume);
				expect(Math.abs(volumeAtDipM3(shape, dip) / volume - 1)).toBeLessThan(1e-9);
			}),
			{ seed: SEED },
		);
	});

	it("the surface is the volume's slope, and nowhere larger than the floor's plan", () => {
		fc.assert(
			fc.property(shapes, real(0.01, 0.99), (shape, share) => {
				const dip = share * depthM(shape);
				const h = 1e-6 * depthM(shape);
				const rise = volumeAtDipM3(shape, dip + h) - volumeAtDipM3(shape, dip - h);
				const surface = surfaceAreaM2(shape, dip);
				const floor = floorAreaM2(shape);
				// A knuckle or an entry of the table within the step has two slopes.
				const kink = Math.abs(surfaceAreaM2(shape, dip + h) - surfaceAreaM2(shape, dip - h));
				expect(Math.abs(rise / (2 * h) - surface)).toBeLessThanOrEqual(kink + 1e-6 * floor);
				expect(surface).toBeLessThanOrEqual(floor * (1 + 1e-12));
			}),
			{ seed: SEED },
		);
	});
});

describe("droplets and fuel", () => {
	it("at Re 0.1 the known limit 1 + 3/16 Re lies between both laws of drag", () => {
		const oseen = (24 / 0.1) * (1 + (3 / 16) * 0.1);
		expect(sphereDrag(0.1)).toBeLessThan(oseen);
		expect(schillerNaumannDrag(0.1)).toBeGreaterThan(oseen);
	});

	it("a drop of 500 µm in warm fuel sinks 2 to 4 % slower after Schiller and Naumann", () => {
		const warm = { densityKgM3: 817.1, dynamicPas: 0.002206 };
		const other = terminalMps(5e-4, 992.2, warm, schillerNaumannDrag);
		const ratio = other / terminalMps(5e-4, 992.2, warm);
		expect(ratio).toBeGreaterThan(0.96);
		expect(ratio).toBeLessThan(0.98);
	});

	it("light bubbles rise as heavy drops sink", () => {
		expect(terminalMps(1e-4, 1.2, liquid)).toBeLessThan(0);
	});

	it.each(Object.entries(grades))(
		"%s thins, lightens and holds more water when warmed",
		(_, fuel) => {
			const [cold, warm] = [liquidAt(fuel, 5), liquidAt(fuel, 40)];
			expect(warm.densityKgM3).toBeLessThan(cold.densityKgM3);
			const kinematic = (warm.dynamicPas / warm.densityKgM3) * 1e6;
			expect(Math.abs(kinematic - fuel.viscosityAt40Mm2s)).toBeLessThan(1e-9);
			expect(warm.dynamicPas).toBeLessThan(cold.dynamicPas);
			expect(waterSolubilityMgKg(40, 0.07)).toBeGreaterThan(waterSolubilityMgKg(5, 0.07));
		},
	);
});
