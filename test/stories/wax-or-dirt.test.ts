// Wax against dirt on made-up growths: what each looks like, what neither can tell, and what the
// words then are. How often it is right on the simulated rig is a score.

import { describe, expect, it } from "vitest";
import type { RestrictionState } from "../../firmware/sense/restriction.ts";
import { restrictionWords, sideOf } from "../../firmware/sense/restriction-words.ts";
import type { Sensed } from "../../firmware/sense/sensed.ts";
import {
	followPlugging,
	type PluggingSums,
	pluggingOf,
	waxShare,
} from "../../firmware/sense/wax-or-dirt.ts";
import { wellSensed } from "./well.ts";
import { exampleRig } from "./world.ts";

const rig = exampleRig();
/** As its file states. */
const CLOUD_C = -6;

interface Growth {
	/** Fuel at the start, and what it cools by in the run, °C and K. */
	readonly fromC: number;
	readonly coolsK?: number;
	readonly trueCloudC?: number;
	/** kPa a litre at the start, thinning with the tank; and kPa a litre and K below the cloud. */
	readonly dirt?: number;
	readonly wax?: number;
	readonly litres?: number;
	readonly thermometer?: boolean;
}

function ran(growth: Growth): PluggingSums | null {
	const { fromC, coolsK = 0, trueCloudC = CLOUD_C, dirt = 0, wax = 0, litres = 60 } = growth;
	let sums: PluggingSums | null = null;
	let kpa = 4;
	const step = 0.25;
	for (let at = 0; at <= litres; at += step) {
		const fuelC = fromC - (coolsK * at) / litres;
		kpa += step * (dirt * Math.exp(-at / 200) + wax * Math.max(0, trueCloudC - fuelC));
		const sample = {
			referredKpa: kpa + 0.2 * Math.sin(37 * at),
			fuelC: growth.thermometer === false ? ("not-fitted" as const) : fuelC,
			litres: at === 0 ? 0 : step,
			seconds: 10,
			tankLitres: 180,
			isNewTank: at === 0,
		};
		sums = followPlugging(rig, sums, sample);
	}
	return sums;
}

describe("growth", () => {
	it.each<[string, Growth, "wax" | "dirt" | "undecided"]>([
		["far above the cloud point is dirt", { fromC: 12, dirt: 0.2 }, "dirt"],
		["far below it, as fast as wax falls out, is wax", { fromC: -13, wax: 0.05 }, "wax"],
		[
			"that is fast as it cools through the cloud point, and nothing before, is wax",
			{ fromC: -2, coolsK: 8, wax: 0.15 },
			"wax",
		],
		[
			"that thins with the tank while it cools is dirt",
			{ fromC: -4, coolsK: 4, dirt: 0.4 },
			"dirt",
		],
		[
			"with a lost thermometer is not told",
			{ fromC: 12, dirt: 0.2, thermometer: false },
			"undecided",
		],
		["of the first samples is not told", { fromC: 12, dirt: 0.2, litres: 0.25 }, "undecided"],
	])("%s", (_, growth, words) => {
		expect(pluggingOf(rig, ran(growth))).toBe(words);
	});

	it("steady, two degrees above the stated cloud point, leaves wax possible", () => {
		const share = waxShare(rig, ran({ fromC: CLOUD_C + 2, dirt: 0.1, litres: 20 })) ?? Number.NaN;
		expect(share).toBeGreaterThan(0.02);
		expect(share).toBeLessThan(0.98);
	});

	it("keeps plain JSON, and keeps its size over a day", () => {
		const sums = ran({ fromC: -8, dirt: 0.1, wax: 0.05 });
		expect(JSON.parse(JSON.stringify(sums))).toEqual(sums);
		const size = (one: PluggingSums | null) => JSON.stringify(one).length;
		expect(size(ran({ fromC: -8, wax: 0.01, litres: 600 }))).toBeLessThan(1.2 * size(sums));
	});
});

const fit: RestrictionState = {
	kpa: 17,
	perLitre: 0.1,
	varKpa: 0.01,
	covariance: 0,
	varPerLitre: 1e-4,
	sdKpa: 1,
	firstKpa: 5,
	steppedKpa: 0,
	leans: 0,
	odd: 0,
	samples: 200,
};
const high: Partial<Sensed> = {
	vacuumKpa: 31,
	pumpingVacuumKpa: 31,
	restriction: fit,
	pipeKpa: 9,
	perReferred: 1.2,
};

/** What is said with all that, and with what is changed. */
const said = (change: Partial<Sensed>) =>
	restrictionWords({ ...wellSensed, ...high, ...change }, rig);

describe("a high vacuum is put down to", () => {
	it.each<[string, Partial<Sensed>, RegExp]>([
		["dirt", { plugging: ran({ fromC: 12, dirt: 0.2 }) }, /dirt: change the element$/],
		["wax", { plugging: ran({ fromC: -13, wax: 0.05 }) }, /wax: warm the fuel, do not change/],
		["wax or dirt", { plugging: null }, /the element, wax or dirt/],
		["thick fuel", { pipeKpa: 24, perReferred: 2 }, /thick fuel: warm it/],
		["tube or element, before any sample", { restriction: null }, /^tube or element$/],
		[
			"tube or element, when it came at once",
			{ restriction: { ...fit, steppedKpa: 11 } },
			/^tube or element$/,
		],
		["the tube, by the tap", { bowlTapKpa: 25 }, /^the tube: lift and clear it/],
		["the element, by the tap", { bowlTapKpa: 9 }, /^the element/],
	])("%s", (_, change, words) => {
		expect(said(change)).toMatch(words);
	});

	it("either, where the tap tells and the gauge does not", () => {
		const sensed = { ...wellSensed, ...high, bowlTapKpa: 9, vacuumKpa: "open" as const };
		expect(sideOf(sensed, rig)).toBe("either");
	});
});
