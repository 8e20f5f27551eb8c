// Which sensors a hazard needs before the rig may be left alone, as a table: each sensor taken out
// by itself uncovers the hazards named beside it, and no other.

import { describe, expect, it } from "vitest";
import type { OptionalSensor } from "../../firmware/config/optional-sensors.ts";
import {
	type CoveredHazard,
	coverageGaps,
	coverageOf,
	coverageRows,
} from "../../firmware/cycle/coverage.ts";
import { rigWith } from "./rig.ts";

const all: OptionalSensor[] = [
	"vacuum",
	"tray",
	"return-seat",
	"tube-seat",
	"pressure-switch",
	"level-from",
	"level-to",
	"fuel-temperature",
	"case-temperature",
	"bowl-tap",
];
const relief = { pressureSwitchKpa: 90, bypassKpa: 130 };
const full = rigWith({ sensors: all, pump: relief });

const without = (sensor: OptionalSensor) =>
	rigWith({ sensors: all.filter((name) => name !== sensor), pump: relief });

it("with every sensor and a relief every hazard is covered", () => {
	expect(coverageGaps(full)).toEqual([]);
	const rows = coverageOf(full);
	expect(rows.every(({ covered, missing }) => covered && missing.length === 0)).toBe(true);
	expect(rows.map(({ hazard }) => hazard)).toEqual(Object.keys(coverageRows));
});

describe("taken out", () => {
	it.each<[OptionalSensor, CoveredHazard[]]>([
		["vacuum", ["suction-blocked", "vent-blocked", "tube-or-element"]],
		["tray", ["hose-leaks"]],
		["return-seat", ["return-falls-out"]],
		["level-from", ["return-falls-out", "return-in-another-tank", "vent-blocked"]],
		["level-to", ["return-in-another-tank", "tank-overflows"]],
		["tube-seat", ["tube-moved"]],
		["fuel-temperature", ["fuel-cold"]],
		["case-temperature", ["motor-overheats"]],
		["pressure-switch", ["discharge-shut"]],
		["bowl-tap", ["tube-or-element"]],
	])("%s uncovers %j", (sensor, hazards) => {
		const bare = coverageOf(without(sensor)).filter(({ covered }) => !covered);
		expect(bare.map(({ hazard }) => hazard)).toEqual(hazards);
		expect(bare.map(({ missing }) => missing)).toEqual(hazards.map(() => [sensor]));
	});
});

describe("left alone", () => {
	it("no rig may be that lacks a sensor, but for the tap that only tells tube from element", () => {
		expect(all.filter((sensor) => coverageGaps(without(sensor)).length === 0)).toEqual([
			"bowl-tap",
		]);
	});

	it("says for each hazard what to fit", () => {
		expect(coverageGaps(without("level-to"))).toEqual([
			"return-in-another-tank is not covered: fit level-to",
			"tank-overflows is not covered: fit level-to",
		]);
		const bare = coverageGaps(rigWith({ sensors: [], pump: relief }));
		expect(bare).toHaveLength(Object.keys(coverageRows).length - 1);
		expect(bare).toContain("return-falls-out is not covered: fit return-seat, level-from");
	});
});

describe("a shut return", () => {
	const words = "pump.pressureSwitchKpa and pump.bypassKpa (a switch, and a relief to the tank)";
	const { pressureSwitchKpa: _switch, bypassKpa: _bypass, ...plain } = full.pump;

	it.each([
		["neither switch nor relief", {}],
		["a switch alone", { pressureSwitchKpa: 90 }],
		["a relief alone", { bypassKpa: 130 }],
	])("is not covered by %s", (_, pump) => {
		const rig = { ...full, pump: { ...plain, ...pump } };
		expect(coverageGaps(rig)).toEqual([`discharge-shut is not covered: fit ${words}`]);
	});

	it("names the sensor first where that lacks too", () => {
		const rig = { ...full, sensors: [], pump: plain };
		const row = coverageOf(rig).find(({ hazard }) => hazard === "discharge-shut");
		expect(row?.missing).toEqual(["pressure-switch", words]);
	});
});

it("each row says in words of its own what goes wrong", () => {
	const words = coverageOf(full).map((row) => row.words);
	expect(words.every((text) => /^\w+ \w/.test(text))).toBe(true);
	expect(new Set(words).size).toBe(words.length);
});
