// What `lees size` says of a rig: cause -> what a person reads. Rigs are the example's, changed
// where the story needs it; the numbers behind it are held to the rig model in test/reference.

import { describe, expect, it } from "vitest";
import type { Rig } from "../../firmware/config/rig.ts";
import { sizeAccount } from "../../host/report/size-account.ts";
import { sizePlot } from "../../host/report/size-plot.ts";
import { figureNames, type Spread } from "../../host/sizing/figures.ts";
import {
	type SizedCase,
	type SizingResult,
	sizingResultSchema,
	type Warning,
	type WarningCode,
} from "../../host/sizing/result.ts";
import { sizeRig } from "../../host/sizing/size-rig.ts";
import { exampleRig } from "./world.ts";

const FEW = { draws: 200 };
const sized = (rig: Rig): SizingResult => sizeRig(rig, FEW).result;

function caseOf({ cases }: SizingResult, tank: string, season: "cold" | "warm"): SizedCase {
	const found = cases.find((one) => one.tank === tank && one.season === season);
	if (found === undefined) throw new Error(`no case ${tank} ${season}`);
	return found;
}

const warned = ({ warnings }: SizingResult, code: WarningCode, celsius?: number): Warning[] =>
	warnings.filter((one) => one.code === code && (celsius ?? one.celsius) === one.celsius);

const amountOf = ({ value }: Spread): number => value ?? Number.POSITIVE_INFINITY;

const withPump = (rig: Rig, pump: Partial<Rig["pump"]>): Rig => ({
	...rig,
	pump: { ...rig.pump, ...pump },
});
const withSizing = (rig: Rig, sizing: Partial<Rig["sizing"]>): Rig => ({
	...rig,
	sizing: { ...rig.sizing, ...sizing },
});
const withBores = (rig: Rig, tubeMm: number, hoseMm: number): Rig => ({
	...rig,
	tube: { ...rig.tube, boreMm: tubeMm },
	hose: { ...rig.hose, boreMm: hoseMm },
});

describe("the example rig", () => {
	const result = sized(exampleRig());

	it("draws more vacuum, gives less flow and settles slower when it is cold", () => {
		for (const { name } of exampleRig().tanks) {
			const cold = caseOf(result, name, "cold").figures;
			const warm = caseOf(result, name, "warm").figures;
			expect(amountOf(cold.vacuumCleanKpa)).toBeGreaterThan(1.2 * amountOf(warm.vacuumCleanKpa));
			expect(amountOf(cold.flowCleanLph)).toBeLessThan(amountOf(warm.flowCleanLph));
			expect(amountOf(cold.settleHours)).toBeGreaterThan(1.5 * amountOf(warm.settleHours));
			expect(amountOf(cold.hoseReynolds)).toBeLessThan(amountOf(warm.hoseReynolds));
		}
	});

	it("gives p10 <= p50 <= p90 for every figure, p50 near what is stated, and a spread", () => {
		for (const { figures } of result.cases) {
			for (const name of figureNames) {
				const { value, p10, p50, p90 } = figures[name];
				if (value === null || p10 === null || p50 === null || p90 === null) {
					throw new Error(`${name} has no end`);
				}
				expect(p10).toBeLessThanOrEqual(p50);
				expect(p50).toBeLessThanOrEqual(p90);
				expect(p10, name).toBeLessThan(p90);
				expect(value, name).toBeGreaterThan(p10);
				expect(value, name).toBeLessThan(p90);
			}
		}
	});

	it("spreads the free flow's stated 5 % to about as much in the flow", () => {
		const { p10, p90, value } = caseOf(result, "port", "warm").figures.flowCleanLph;
		// Eight draws of ten lie within 1.28 standard deviations.
		const deviation = ((p90 ?? 0) - (p10 ?? 0)) / 2 / 1.2816 / (value ?? 1);
		expect(deviation).toBeGreaterThan(0.035);
		expect(deviation).toBeLessThan(0.06);
	});

	it("needs -ln(share)/(efficiency mixing) turnovers of litres by flow, and rests between", () => {
		const { element, sizing } = exampleRig();
		const { figures, litres } = caseOf(result, "port", "warm");
		expect(litres).toBeCloseTo(0.6 * 310, 6);
		const hours = litres / amountOf(figures.flowCleanLph);
		expect(amountOf(figures.turnoverHours)).toBeCloseTo(hours, 4);
		const turnovers = -Math.log(0.05) / (element.dirtEfficiency * sizing.mixingFactor);
		expect(amountOf(figures.turnoversTo5Pct)).toBeCloseTo(turnovers, 4);
		// 17.8 h in runs of 40 min are 27 runs with 26 rests of 20 min between them.
		const pumpHours = amountOf(figures.hoursTo1Pct);
		const rests = Math.ceil(pumpHours / (40 / 60)) - 1;
		expect(amountOf(figures.clockHoursTo1Pct)).toBeCloseTo(pumpHours + rests / 3, 3);
	});

	it("says which limit the margin is up to: suction on air, and past it at change-out", () => {
		const { limits, figures } = caseOf(result, "port", "cold");
		expect(limits.change).toEqual({ name: "dry-suction", kpa: 26 });
		const margin = 26 - amountOf(figures.vacuumChangeKpa);
		expect(amountOf(figures.marginChangeKpa)).toBeCloseTo(margin, 3);
		const [warning] = warned(result, "suction-change", 2);
		expect(warning?.text).toContain("26 kPa");
		expect(warning?.tanks).toEqual(["day", "port", "starboard"]);
	});

	it("offers an element changed sooner, and with it that warning is gone", () => {
		const [warning] = warned(result, "suction-change", 2);
		const at = Number(/at (\d+) kPa already/.exec(warning?.cures.join() ?? "")?.[1]);
		const rig = exampleRig();
		const cured = sized({ ...rig, element: { ...rig.element, changeAtKpa: at } });
		expect(warned(cured, "suction-change", 2)).toEqual([]);
		const late = sized({ ...rig, element: { ...rig.element, changeAtKpa: at + 1 } });
		expect(warned(late, "suction-change", 2)).toHaveLength(1);
	});
});

describe("the margin is up to whatever comes first", () => {
	const cases = [
		["dry-suction", (rig: Rig) => rig],
		["wet-suction", (rig: Rig) => withPump(rig, { wetSuctionKpa: 22 })],
		["air-release", (rig: Rig) => withSizing(rig, { airReleaseKpa: 20 })],
		["hose-collapse", (rig: Rig) => withSizing(rig, { hoseCollapseKpa: 12 })],
		[
			"element-collapse",
			(rig: Rig) =>
				withSizing(
					withPump({ ...rig, element: { ...rig.element, collapseKpa: 20 } }, { drySuctionKpa: 50 }),
					{ airReleaseKpa: 60 },
				),
		],
	] as const;
	it.each(cases)("%s", (name, change) => {
		expect(caseOf(sized(change(exampleRig())), "port", "warm").limits.change.name).toBe(name);
	});

	it("and thin air takes its share of the limits that hang on it", () => {
		const high = caseOf(sized(withSizing(exampleRig(), { altitudeM: 2_000 })), "port", "warm");
		// ISO 2533: 0.785 of the sea-level pressure at 2000 m.
		expect(high.limits.change.kpa).toBeCloseTo(26 * 0.785, 1);
	});
});

describe("a hose or tube that is too narrow", () => {
	it("is warned of, with the bore that cures it, and cured by it", () => {
		const narrow = withBores(exampleRig(), 8, 5);
		const [warning] = warned(sized(narrow), "suction-clean", 2);
		const [, bore] = /use (\d+) mm hose/.exec(warning?.cures.join() ?? "") ?? [];
		expect(["8", "10", "12", "16"]).toContain(bore);
		const cured = sized(withBores(narrow, 8, Number(bore)));
		expect(warned(cured, "suction-clean", 2)).toEqual([]);
	});

	it("in the tube asks for hose and tube", () => {
		const [warning] = warned(sized(withBores(exampleRig(), 3, 8)), "suction-clean", 2);
		expect(warning?.cures[0]).toMatch(/^use (8|10) mm hose and tube$/);
	});
});

describe("a pump that does not lift this fuel", () => {
	const weak = withPump(exampleRig(), { drySuctionKpa: 5 });
	const result = sized(weak);

	it("is named, with column and suction, and its priming never ends", () => {
		const [warning] = warned(result, "does-not-lift", 2);
		expect(warning?.text).toMatch(
			/At 2 °C this pump will not lift this fuel from tanks .*5\.0 kPa/,
		);
		expect(caseOf(result, "port", "cold").figures.primingSeconds.value).toBeNull();
	});

	it("is cured by no hose; where there is no cure the account says so", () => {
		const [warning] = warned(result, "does-not-lift", 2);
		expect(warning?.cures.join()).not.toContain("use 10 mm hose;");
		const text = sizeAccount(result)
			.map((line) => line.text)
			.join("\n");
		expect(text).toContain("None of the cures tried is enough");
		expect(text).toContain("never");
	});

	it("is cured by a shorter tube with the pump lower, where that is enough", () => {
		const rig = withPump(exampleRig(), { drySuctionKpa: 9, freeFlowLph: 50 });
		const [warning] = warned(sized(rig), "suction-clean", 25);
		const words = /shorten the tube to (\d+) mm with the pump (\d+) mm lower/;
		const [, length, lower] = words.exec(warning?.cures.join() ?? "") ?? [];
		expect(Number(length) + Number(lower)).toBe(1_150);
		const withLength = (lengthMm: number) => sized({ ...rig, tube: { ...rig.tube, lengthMm } });
		expect(warned(withLength(Number(length)), "suction-clean", 25)).toEqual([]);
		expect(warned(withLength(Number(length) + 50), "suction-clean", 25)).toHaveLength(1);
	});

	it("is cured by hose, tube and height together, where none alone is enough", () => {
		const rig = withPump(exampleRig(), { drySuctionKpa: 10.5, freeFlowLph: 50 });
		const [warning] = warned(sized(rig), "suction-clean", 2);
		expect(warning?.cures).toEqual([
			"only together: use 16 mm hose and tube, " +
				"and shorten the tube to 650 mm with the pump 500 mm lower",
		]);
		const tube = { ...rig.tube, lengthMm: 650 };
		expect(warned(sized({ ...rig, tube }), "suction-clean", 2)).toHaveLength(1);
		expect(warned(sized(withBores(rig, 16, 16)), "suction-clean", 2)).toHaveLength(1);
		expect(warned(sized(withBores({ ...rig, tube }, 16, 16)), "suction-clean", 2)).toEqual([]);
	});
});

describe("what else is warned of", () => {
	it.each([
		["element-small", withSizing(exampleRig(), { dirtMgPerLitre: 900 })],
		["battery", withSizing(exampleRig(), { sessionHours: 72 })],
		["too-cold", withSizing(exampleRig(), { coldC: 1 })],
		["wax", withSizing(exampleRig(), { coldC: -3 })],
		["priming-long", { ...exampleRig(), hose: { lengthMm: 9_000, boreMm: 16, bends: 2 } }],
		["cable-drop", { ...exampleRig(), supply: { ...exampleRig().supply, cableMetres: 20 } }],
		["fuse", { ...exampleRig(), supply: { ...exampleRig().supply, fuseA: 2 } }],
	] satisfies Array<[WarningCode, Rig]>)("%s", (code, rig) => {
		expect(warned(sized(exampleRig()), code)).toEqual([]);
		expect(warned(sized(rig), code).length).toBeGreaterThan(0);
	});

	it("a settling that the bowl does by itself is worth no waiting", () => {
		const rig = exampleRig();
		const wide = { ...rig, bowl: { ...rig.bowl, diameterMm: 400 } };
		const slow = withPump(wide, { freeFlowLph: 50 });
		const { figures } = caseOf(sized(withSizing(slow, { settleDropMicron: 200 })), "port", "warm");
		expect(amountOf(figures.bowlCutMicron)).toBeLessThan(200);
		expect(figures.settleHours.value).toBe(0);
	});
});

describe("the answer", () => {
	it("is the same to the byte for the same seed, and another for another", () => {
		// Without the seed that the answer names: its figures have to differ.
		const text = (seed: number) => {
			const { cases } = sizeRig(exampleRig(), { seed, draws: 200 }).result;
			return JSON.stringify(cases);
		};
		const plot = () => sizePlot(exampleRig(), sizeRig(exampleRig(), FEW));
		expect(plot()).toBe(plot());
		expect(text(7)).toBe(text(7));
		expect(text(7)).not.toBe(text(8));
	});

	it("is what its schema documents", () => {
		const result = sized(exampleRig());
		expect(sizingResultSchema.parse(JSON.parse(JSON.stringify(result)))).toEqual(result);
	});

	it("with 2000 draws comes within 3 s", () => {
		const began = process.hrtime.bigint();
		sizeRig(exampleRig());
		expect(Number(process.hrtime.bigint() - began) / 1e9).toBeLessThan(3);
	});

	it("keeps to 80 columns, names every figure's unit, and cautions", () => {
		const lines = sizeAccount(sized(exampleRig())).map(({ text }) => text);
		expect(lines.filter((line) => [...line].length > 80)).toEqual([]);
		const text = lines.join("\n");
		for (const word of ["kPa", "L/h", "m/s", "estimate", "petrol", "ISO 13297", "(invented)"]) {
			expect(text).toContain(word);
		}
		expect(text).toContain("Local codes and licensed practice come first");
		// Two columns never run into each other.
		expect(text).not.toMatch(/\)\S*\d+\.\d \(/);
	});

	it("without uncertainty shows one figure each, and the draws all agree", () => {
		const rig = exampleRig();
		const none = Object.fromEntries(Object.keys(rig.sizing.uncertainty).map((key) => [key, 0]));
		const uncertainty = { ...rig.sizing.uncertainty, ...none };
		for (const { figures } of sized(withSizing(rig, { uncertainty })).cases) {
			for (const name of figureNames) {
				const { value, p10, p90 } = figures[name];
				expect([p10, p90]).toEqual([value, value]);
			}
		}
	});
});
