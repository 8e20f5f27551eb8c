// Battery, cable, fuse and element where no reference row reaches: inverses, order, limits. What
// is published is checked by the rows.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { abycAmps, BLADE_FUSES_A, bundleShare, fuseFor } from "../../sim/physics/ampacity.ts";
import {
	ABSORBED_LEAD_ACID,
	chargeAtRest,
	chargerAmps,
	effectiveAmps,
	FLOODED_LEAD_ACID,
	IRON_PHOSPHATE,
	peukertHours,
	restVolts,
	terminalVolts,
} from "../../sim/physics/battery.ts";
import {
	conductorOhmPerKm,
	roundTripFt,
	runDropVolts,
	smallestConductorMm2,
} from "../../sim/physics/cable.ts";
import {
	betaOfEfficiency,
	efficiencyAt,
	efficiencyOfBeta,
	isoCode,
	multiPassPerMl,
	multiPassSteadyPerMl,
} from "../../sim/physics/filtration.ts";

/** What the properties draw from. */
const SEED = 20_261_126;

describe("a battery's rest voltage", () => {
	const curves = { FLOODED_LEAD_ACID, ABSORBED_LEAD_ACID, IRON_PHOSPHATE };

	it.each(Object.entries(curves))("%s: charge from volts undoes volts from charge", (_, curve) => {
		fc.assert(
			fc.property(fc.double({ min: 0, max: 1, noNaN: true }), (share) => {
				expect(chargeAtRest(curve, restVolts(curve, share))).toBeCloseTo(share, 9);
			}),
			{ seed: SEED },
		);
	});

	it.each(Object.entries(curves))("%s: stays at its ends outside them", (_, curve) => {
		expect(chargeAtRest(curve, 5)).toBe(0);
		expect(chargeAtRest(curve, 20)).toBe(1);
		expect(restVolts(curve, -1)).toBe(restVolts(curve, 0));
		expect(restVolts(curve, 2)).toBe(restVolts(curve, 1));
	});
});

describe("a battery under current", () => {
	const rating = { capacityAh: 70, ratedHours: 20, exponent: 1.2 };

	it("uses up its capacity at the effective current in Peukert's hours", () => {
		for (const amps of [4, 10, 40]) {
			const hours = rating.capacityAh / effectiveAmps(rating, amps);
			expect(hours / peukertHours(rating, amps)).toBeCloseTo(1, 12);
		}
	});

	it("gives no more than its rated capacity to a slow discharge", () => {
		expect(effectiveAmps(rating, 2)).toBe(2);
	});

	it("is charged at full current up to a voltage, then at that voltage, never drained", () => {
		const charger = { ampsMax: 10, voltsMax: 14.4 };
		expect(chargerAmps(charger, 12, 0.05, 0)).toBe(10);
		const amps = chargerAmps(charger, 14.2, 0.05, 1);
		expect(amps).toBeCloseTo(5, 9);
		expect(terminalVolts(14.2, 0.05, 1 - amps)).toBeCloseTo(14.4, 9);
		expect(chargerAmps(charger, 14.6, 0.05, 0)).toBe(0);
	});
});

describe("a cable", () => {
	it("is the smallest standard one within the drop, and the next smaller is not", () => {
		const run = { amps: 10, oneWayM: 5, supplyVolts: 12, build: "class5Plain" as const };
		const drop = (mm2: number) => runDropVolts(conductorOhmPerKm(mm2, run.build) ?? 0, 5, 10);
		expect(smallestConductorMm2({ ...run, dropShareMax: 0.03 })).toBe(6);
		expect(drop(6)).toBeLessThanOrEqual(0.36);
		expect(drop(4)).toBeGreaterThan(0.36);
		expect(smallestConductorMm2({ ...run, dropShareMax: 0.0001 })).toBeNull();
	});

	it("loses more when it is warm", () => {
		expect(runDropVolts(10, 5, 1, 60)).toBeGreaterThan(runDropVolts(10, 5, 1, 20));
	});

	it("is measured in feet of 0.3048 m (international foot of 1959)", () => {
		expect(roundTripFt(0.3048)).toBeCloseTo(2, 12);
	});

	it("carries less in a bundle and in an engine space, and nothing is known of odd gauges", () => {
		expect([1, 2, 3, 4, 6, 7, 24, 25].map(bundleShare)).toEqual([
			1, 1, 0.7, 0.6, 0.6, 0.5, 0.5, 0.4,
		]);
		expect(abycAmps(16, { engineSpace: true, bundled: 3 })).toBeCloseTo(25 * 0.85 * 0.7, 9);
		expect(abycAmps(17, { engineSpace: false, bundled: 1 })).toBeNull();
	});
});

describe("a fuse", () => {
	it.each([
		[{ runningAmps: 5, startAmps: 12, ampacityAmps: 25 }, 7.5],
		[{ runningAmps: 4, startAmps: 8, ampacityAmps: 25 }, 5],
		[{ runningAmps: 5, startAmps: 40, ampacityAmps: 25 }, 20],
		[{ runningAmps: 20, startAmps: 40, ampacityAmps: 20 }, null],
		[{ runningAmps: 50, startAmps: 50, ampacityAmps: 100 }, null],
	])("for %j is %j", (need, rating) => {
		expect(fuseFor(need)).toBe(rating);
	});

	it("is the smallest that carries the current, outlasts the start and guards the cable", () => {
		const amps = fc.double({ min: 0.1, max: 60, noNaN: true });
		fc.assert(
			fc.property(amps, amps, amps, (runningAmps, startAmps, ampacityAmps) => {
				const would = BLADE_FUSES_A.filter(
					(rating) =>
						rating >= 1.25 * runningAmps && 2 * rating >= startAmps && rating <= ampacityAmps,
				);
				expect(fuseFor({ runningAmps, startAmps, ampacityAmps })).toBe(would[0] ?? null);
			}),
			{ seed: SEED },
		);
	});
});

describe("an element", () => {
	const points = [
		{ micron: 4, beta: 2 },
		{ micron: 10, beta: 75 },
		{ micron: 14, beta: 1000 },
	];

	it("holds back at the tested sizes what was tested, and no less of anything larger", () => {
		for (const { micron, beta } of points)
			expect(efficiencyAt(points, micron)).toBeCloseTo(efficiencyOfBeta(beta), 12);
		const micron = fc.double({ min: 0.5, max: 100, noNaN: true });
		fc.assert(
			fc.property(micron, micron, (one, other) => {
				const [small, large] = [Math.min(one, other), Math.max(one, other)];
				expect(efficiencyAt(points, small)).toBeLessThanOrEqual(efficiencyAt(points, large));
			}),
			{ seed: SEED },
		);
	});

	it("is straight in the logarithms of size and of beta - 1 between them", () => {
		// Halfway between 4 and 10 µm in the logarithm; beta - 1 is the geometric mean of 1 and 74.
		expect(efficiencyAt(points, Math.sqrt(40))).toBeCloseTo(1 - 1 / (1 + Math.sqrt(74)), 12);
	});

	it("that holds nothing back has a ratio of 1, and a ratio undoes its efficiency", () => {
		expect(efficiencyAt([], 10)).toBe(0);
		expect(efficiencyAt([{ micron: 4, beta: 1 }], 10)).toBe(0);
		expect(efficiencyOfBeta(betaOfEfficiency(0.987))).toBeCloseTo(0.987, 12);
	});

	it("keeps what enters when it holds nothing back, and else tends to the steady count", () => {
		const tank = { startPerMl: 100, volumeLitres: 200, flowLph: 120, ingressPerMlLph: 5000 };
		expect(multiPassPerMl({ ...tank, efficiency: 0 }, 2)).toBeCloseTo(150, 9);
		const pass = { ...tank, efficiency: 0.9 };
		expect(multiPassPerMl(pass, 1000)).toBeCloseTo(multiPassSteadyPerMl(pass), 9);
		expect(isoCode(multiPassSteadyPerMl(pass))).toBe(13);
	});
});
