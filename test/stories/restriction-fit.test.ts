// The suction side's budget, the fit over litres and the forecast, rule by rule, on numbers that
// are worked out beside: Darcy, the column of fuel, a tank that thins.

import { describe, expect, it } from "vitest";
import type { Rig } from "../../firmware/config/rig.ts";
import { densityKgM3, dynamicPas, fuelOf, viscosityMm2s } from "../../firmware/sense/fuel.ts";
import {
	followRestriction,
	forecast,
	growthPerGram,
	type RestrictionState,
	thinningPerLitre,
} from "../../firmware/sense/restriction.ts";
import {
	elementDrop,
	lossPa,
	pipeKpaOf,
	planSuction,
	type SuctionReading,
} from "../../firmware/sense/suction-side.ts";
import { grades, liquidAt } from "../../sim/physics/diesel.ts";
import { laminarDropPa } from "./suction.ts";
import { exampleRig } from "./world.ts";

const rig = exampleRig();
const plan = planSuction(rig);

/** What the gauge reads with this much over the element, kPa. */
function readingOf(elementKpa: number, more: Partial<SuctionReading> = {}): SuctionReading {
	const { flowLph = 90, fuelC = 15, dipM = 0.4 } = more;
	const atC = typeof fuelC === "number" ? fuelC : 15;
	const pipeKpa = pipeKpaOf(plan, flowLph, plan.pumpHeightM - (dipM ?? 0.32), atC);
	const vacuumKpa = pipeKpa + elementKpa;
	return { vacuumKpa, bowlTapKpa: "not-fitted", flowLph, fuelC, dipM, depthM: 0.64, ...more };
}

describe("the fuel by temperature", () => {
	const fuel = fuelOf(rig);

	it.each([-5, 0, 5, 15, 25, 40])("is as thick and as heavy at %d °C as the rig model's", (c) => {
		const liquid = liquidAt(
			{ ...fuel, viscosityAt40Mm2s: fuel.viscosity40Mm2s, cloudPointC: fuel.cloudPointC },
			c,
		);
		expect(densityKgM3(fuel, c) / liquid.densityKgM3).toBeCloseTo(1, 3);
		expect(dynamicPas(fuel, c) / liquid.dynamicPas).toBeCloseTo(1, 3);
	});

	it("is that of the grade where one is named, the same as the rig model's", () => {
		for (const [grade, diesel] of Object.entries(grades)) {
			const own = fuelOf({ fuel: { grade, famePct: 7 } } as Rig);
			expect([grade, own.density15KgM3]).toEqual([grade, diesel.density15KgM3]);
			expect(own.viscosity40Mm2s).toBeCloseTo(diesel.viscosityAt40Mm2s, 9);
			expect(own.cloudPointC).toBe(diesel.cloudPointC);
		}
	});

	it("halves from about 5 to 30 °C", () => {
		expect(viscosityMm2s(fuel, 5) / viscosityMm2s(fuel, 30)).toBeGreaterThan(1.9);
	});
});

describe("the vacuum's budget", () => {
	it("takes a laminar pipe's loss after Hagen and Poiseuille", () => {
		const pipe = { lengthM: 2.4, boreM: 0.008, lossK: 0 };
		const found = lossPa(pipe, 2.5e-5, 835, 0.004);
		expect(found / laminarDropPa(2.4, 0.008, 2.5e-5, 0.004)).toBeCloseTo(1, 9);
	});

	it("leaves what the element takes, and refers it by viscosity and flow", () => {
		const drop = elementDrop(plan, readingOf(6));
		expect(drop?.nowKpa).toBeCloseTo(6, 9);
		expect(drop?.referredKpa).toBeCloseTo((6 * 95) / 90, 6);
	});

	it.each([2, 8, 15, 25])("gives one clean element one figure at %d °C", (fuelC) => {
		const thicker = dynamicPas(plan.fuel, fuelC) / plan.ratedPas;
		const drop = elementDrop(plan, readingOf(4 * thicker * (80 / 95), { fuelC, flowLph: 80 }));
		expect(drop?.referredKpa).toBeCloseTo(4, 6);
	});

	it("takes the tap before lift and pipe where there is one", () => {
		const drop = elementDrop(plan, readingOf(6, { vacuumKpa: 20, bowlTapKpa: 12 }));
		expect(drop?.nowKpa).toBeCloseTo(8, 9);
	});

	it("is less sure without a thermometer, and without a level", () => {
		const sd = (more: Partial<SuctionReading>) => elementDrop(plan, readingOf(6, more))?.sdKpa ?? 0;
		expect(sd({ fuelC: "open" })).toBeGreaterThan(1.2 * sd({}));
		expect(sd({ dipM: null })).toBeGreaterThan(1.2 * sd({}));
	});

	it("says nothing of a trickle", () => {
		expect(elementDrop(plan, readingOf(6, { flowLph: 15 }))).toBeNull();
	});
});

const LITRES = 0.25;

/** Samples of an element that grows with a tank's dirt while it thins. */
function grown(
	litres: number,
	{ fromKpa = 4, perLitre = 0.05, tankLitres = 180, step = 0, noiseKpa = 0 } = {},
): RestrictionState {
	const k = thinningPerLitre(rig, tankLitres);
	let state: RestrictionState | null = null;
	for (let at = 0; at <= litres; at += LITRES) {
		const noise = noiseKpa * Math.sin(37 * at);
		const kpa = fromKpa + (perLitre / k) * (1 - Math.exp(-k * at)) + noise;
		const drop = elementDrop(plan, readingOf((kpa + (at > litres / 2 ? step : 0)) * (90 / 95)));
		if (drop === null) throw new Error("no drop");
		state = followRestriction(rig, state, { drop, litres: at === 0 ? 0 : LITRES, tankLitres });
	}
	if (state === null) throw new Error("no sample");
	return state;
}

describe("the fit", () => {
	it("finds level and growth of a tank that thins", () => {
		const state = grown(180, { noiseKpa: 0.3 });
		const k = thinningPerLitre(rig, 180);
		expect(state.kpa).toBeCloseTo(4 + (0.05 / k) * (1 - Math.exp(-k * 180)), 0);
		expect(state.perLitre / (0.05 * Math.exp(-k * 180))).toBeGreaterThan(0.8);
		expect(state.perLitre / (0.05 * Math.exp(-k * 180))).toBeLessThan(1.2);
		expect(state.steppedKpa).toBe(0);
	});

	it("lets growth thin as the tank does, where the sample is as foreseen", () => {
		const before = grown(60);
		const foreseen = before.kpa + before.perLitre * 20;
		const drop = elementDrop(plan, readingOf(foreseen * (90 / 95)));
		if (drop === null) throw new Error("no drop");
		const polish = followRestriction(rig, before, { drop, litres: 20, tankLitres: 100 });
		expect(polish.perLitre / before.perLitre).toBeCloseTo(Math.exp(-0.6 * 0.9 * 0.2), 6);
		const tankLitres = Number.POSITIVE_INFINITY;
		const transfer = followRestriction(rig, before, { drop, litres: 20, tankLitres });
		expect(transfer.perLitre / before.perLitre).toBeCloseTo(1, 6);
	});

	it("follows a growth that has become another one", () => {
		const state = grown(10, { perLitre: 0.8, tankLitres: 1e6 });
		expect(state.steppedKpa).toBe(0);
		expect(state.perLitre).toBeGreaterThan(0.6);
	});

	it("tells a step from growth", () => {
		const state = grown(60, { step: 6 });
		expect(state.steppedKpa).toBeGreaterThan(5);
		expect(state.steppedKpa).toBeLessThan(7);
	});

	it("is plain JSON", () => {
		const state = grown(20);
		expect(JSON.parse(JSON.stringify(state))).toEqual(state);
	});
});

describe("the forecast", () => {
	it("of half a range is about half the capacity, with a lower and an upper end", () => {
		const half = (rig.element.cleanKpa + rig.element.changeAtKpa) / 2;
		const { grams } = forecast(rig, grown(4, { fromKpa: half, perLitre: 0 }), 180);
		expect(grams.median).toBeGreaterThan(0.4 * rig.element.dirtToChangeGrams);
		expect(grams.median).toBeLessThan(0.6 * rig.element.dirtToChangeGrams);
		expect(grams.low).toBeLessThan(0.8 * grams.median);
		expect(grams.high).toBeGreaterThan(1.2 * grams.median);
	});

	it("of a full element is nothing", () => {
		const { grams, litres } = forecast(rig, grown(4, { fromKpa: 30, perLitre: 0 }), 180);
		expect([grams.high, litres.high]).toEqual([0, 0]);
	});

	it("has no end in litres where the tank's dirt is less than the element takes", () => {
		const dirty = grown(30, { perLitre: 0.02 });
		expect(forecast(rig, dirty, 180).litres.median).toBe(Number.POSITIVE_INFINITY);
		expect(forecast(rig, dirty, 20_000).litres.median).toBeLessThan(2_000);
	});

	it("counts a gram as the rig file does", () => {
		expect(growthPerGram(rig)).toBeCloseTo((18 - 4) / 90, 12);
	});
});
