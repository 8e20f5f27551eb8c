// Calibration, charts and current monitor where no reference row reaches: closed forms, a second
// table, a run of the chart itself.

import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";
import { describe, expect, it } from "vitest";
import { BUS_SHIFT, busVolts, shuntAmpsPerCount } from "../../firmware/board/ina219.ts";
import { combine, kFactor, litresOf, rectangular } from "../../firmware/calibration.ts";
import { cusumAtStart, cusumSignal, cusumStep } from "../../firmware/sense/control-chart.ts";
import { normalShare } from "../../firmware/sense/normal.ts";
import { cusumTwoSided, ewmaTwoSided, shewhartTwoSided } from "../../firmware/sense/run-length.ts";
import { studentFactor } from "../../firmware/sense/student.ts";
import { pins } from "../stories/world.ts";

describe("Student's t", () => {
	// JCGM 100:2008, Table G.2, from memory, to the digits printed there.
	it.each([
		[1, 0.95, 12.71],
		[4, 0.9, 2.13],
		[5, 0.9973, 5.51],
		[10, 0.9545, 2.28],
		[10, 0.99, 3.17],
		[30, 0.95, 2.04],
		[50, 0.9, 1.68],
	])("of %d degrees of freedom at %d is %d in the table", (degrees, level, printed) => {
		expect(studentFactor(degrees, level)).toBeCloseTo(printed, 2);
	});

	it("of one degree is a tangent, of two a root: closed forms", () => {
		for (const level of [0.5, 0.9, 0.99]) {
			expect(studentFactor(1, level) / Math.tan((Math.PI * level) / 2)).toBeCloseTo(1, 9);
			const two = level * Math.sqrt(2 / (1 - level ** 2));
			expect(studentFactor(2, level) / two).toBeCloseTo(1, 9);
		}
	});

	it("tends to the normal quantile, 1.959964 at 0.95", () => {
		expect(studentFactor(Number.POSITIVE_INFINITY, 0.95)).toBeCloseTo(1.959964, 5);
	});
});

describe("uncertainty", () => {
	it("of one component has its own degrees of freedom; a known one adds none", () => {
		const first = { uncertainty: 3, degreesOfFreedom: 7 };
		expect(combine([first]).degreesOfFreedom).toBeCloseTo(7, 9);
		const known = { uncertainty: 4, degreesOfFreedom: Number.POSITIVE_INFINITY };
		const both = combine([first, known]);
		expect(both.uncertainty).toBeCloseTo(5, 12);
		expect(both.degreesOfFreedom).toBeCloseTo((7 * 5 ** 4) / 3 ** 4, 6);
	});

	it("of a K-factor is that of the litres when the count is sure", () => {
		const litres = { value: 5, uncertainty: rectangular(0.05) };
		const k = kFactor({ value: 2100, uncertainty: 0 }, litres);
		expect(k.value).toBe(420);
		expect(k.uncertainty / k.value).toBeCloseTo(litres.uncertainty / litres.value, 12);
		expect(litresOf(2100, k.value)).toBe(5);
	});
});

describe("run lengths", () => {
	it("are those of the chart itself: 20 000 runs of the CUSUM's steps, seed 1, within 2 %", () => {
		const plan = { slack: 0.5, limit: 4, headStart: 2 };
		const random = xoroshiro128plus(1);
		const uniform = () => ((random.next() >>> 0) + 0.5) / 2 ** 32;
		// Box and Muller (1958).
		const normal = () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
		const runs = 20_000;
		let values = 0;
		for (let run = 0; run < runs; run += 1) {
			let state = cusumAtStart(plan);
			while (cusumSignal(plan, state) === null) {
				state = cusumStep(plan, state, 1 + normal());
				values += 1;
			}
		}
		expect(Math.abs(values / runs / cusumTwoSided(plan, 1) - 1)).toBeLessThan(0.02);
	});

	it("of an EWMA of weight 1 are those of limits on single values", () => {
		const found = ewmaTwoSided({ weight: 1, width: 3 }, 0.5);
		expect(found / shewhartTwoSided(3, 0.5)).toBeCloseTo(1, 9);
	});

	it("rest on a normal share that keeps its digits in the tail: 6.2209605743e-16 below -8", () => {
		// Handbook value of Q(8), from memory; the two formulas meet at 3.
		expect(normalShare(-8) / 6.2209605743e-16).toBeCloseTo(1, 8);
		expect(normalShare(-3 - 1e-9) / normalShare(-3)).toBeCloseTo(1, 7);
		expect(normalShare(1.2) + normalShare(-1.2)).toBeCloseTo(1, 14);
	});
});

describe("the pin map's current monitor", () => {
	it("counts volts and, over its 20 mΩ shunt, amperes as the monitor's registers do", () => {
		const { "supply-volts": volts, "motor-current": amps } = pins.channels;
		if (volts?.kind !== "i2c" || amps?.kind !== "i2c") throw new Error("no monitor");
		expect(volts.perCount).toBe(busVolts(1));
		expect(volts.shiftRight).toBe(BUS_SHIFT);
		expect(amps.perCount).toBeCloseTo(shuntAmpsPerCount(0.02), 12);
	});
});
