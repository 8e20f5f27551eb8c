// The phrases that the detectors' rows are written in: what counts as over, under, broken and
// between two marks, where a reading says nothing, and what an edge sends.

import { describe, expect, it } from "vitest";
import {
	alarm,
	batteries,
	between,
	figure,
	hasMoved,
	isBroken,
	isOver,
	isUnder,
	percent,
	trouble,
} from "../../firmware/sense/finding-row.ts";
import { wellSensed as well } from "../stories/well.ts";
import { rig, rigWith } from "./rig.ts";

describe("two levels", () => {
	it.each([
		[0.02, 0, false],
		[0.031, 0, true],
		[-0.031, 0, true],
		[0, 0.031, true],
		[0, -0.031, true],
		[0.03, -0.03, false],
		[null, 0.031, true],
		[-0.031, null, true],
		[null, 0.02, false],
		[0.02, null, false],
	])("%j and %j have moved more than 3 %: %s", (from, to, moved) => {
		expect(hasMoved(from, to, 0.03)).toBe(moved);
	});

	it("that both say nothing have neither moved nor stayed", () => {
		expect(hasMoved(null, null, 0.03)).toBeNull();
	});

	it("are told in per cent", () => {
		expect(percent(0.0314)).toBe("3.1 %");
		expect(percent(-0.5)).toBe("-50.0 %");
		expect(percent(null)).toBe("an unknown amount");
	});
});

describe("a mark", () => {
	it.each([
		[2.9, false, true],
		[3, false, false],
		[3.1, true, false],
	])("of 3 is passed by %d upwards: %s, downwards: %s", (value, over, under) => {
		expect(isOver(value, 3)).toBe(over);
		expect(isUnder(value, 3)).toBe(under);
	});

	it("is neither passed nor kept by a reading that says nothing", () => {
		expect(isOver("stale", 3)).toBeNull();
		expect(isUnder("open", 3)).toBeNull();
	});
});

describe("a switch", () => {
	it.each([
		["broken", true],
		["made", false],
		["open", null],
		["stale", null],
	] as const)("that is %s counts as broken: %s", (value, broken) => {
		expect(isBroken(value)).toBe(broken);
	});
});

describe("between two marks", () => {
	it.each([
		[1.9, true],
		[2, null],
		[3, null],
		[4, null],
		[4.1, false],
	])("downwards, on under 2, off over 4: %d is %s", (value, seen) => {
		expect(between(value, 2, 4)).toBe(seen);
	});

	it.each([
		[4.1, true],
		[4, null],
		[3, null],
		[2, null],
		[1.9, false],
	])("upwards, on over 4, off under 2: %d is %s", (value, seen) => {
		expect(between(value, 4, 2)).toBe(seen);
	});

	it("a reading that says nothing is neither, either way", () => {
		expect(between("stale", 2, 4)).toBeNull();
		expect(between("stale", 4, 2)).toBeNull();
	});

	it("two marks that are one count upwards", () => {
		expect([2, 3, 4].map((value) => between(value, 3, 3))).toEqual([false, null, true]);
	});
});

describe("words", () => {
	it("give a figure with its unit, or say that it is unknown", () => {
		expect(figure(12.34, 1, "V")).toBe("12.3 V");
		expect(figure(0, 0, "°C")).toBe("0 °C");
		expect(figure("stale", 1, "V")).toBe("unknown V");
		expect(figure(null, 1, "kPa")).toBe("unknown kPa");
	});

	it("batteries are of 12 V", () => {
		expect(batteries(rigWith({ pump: { ratedVolts: 24 } }))).toBe(2);
	});
});

describe.each([
	["alarm", alarm],
	["trouble", trouble],
] as const)("an edge that sends %s", (type, made) => {
	it("sends it with code and time when it comes, and nothing when it goes", () => {
		expect(made("leak")(true, 5, well, rig)).toEqual({ type, atMs: 5, code: "leak" });
		expect(made("leak", "words")(false, 5, well, rig)).toBeNull();
	});

	it("sends words of its own, fixed or made of what is sensed", () => {
		const cause = "the tray is wet";
		expect(made("leak", cause)(true, 5, well, rig)).toEqual({ type, atMs: 5, code: "leak", cause });
		const event = made("leak", ({ caseC }, { rig: name }) => `${name}: ${caseC}`);
		expect(event(true, 5, well, rig)).toEqual({
			type,
			atMs: 5,
			code: "leak",
			cause: `${rig.rig}: 30`,
		});
	});
});
