// Every cell of hardware/sensor-faults.yaml as a run on the simulated rig: the fault begins in that
// very state, and what follows is what the row says. No cell is empty, and a row that is wrong
// fails. Sensors that a rig may lack are played in optional-sensor-faults.test.ts, beside this.

import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { readHazards } from "../../host/report/hazards.ts";
import {
	type Cell,
	cellsOf,
	emptyCells,
	nameOf,
	readSensorFaults,
	type SensorFaultRow,
	undetectedIn,
} from "../../host/report/sensor-faults.ts";
import { root } from "../stories/world.ts";
import { problemsOf } from "./sensor-fault-judge.ts";
import { isOptional, SOURCE, table, text, titled } from "./sensor-fault-rows.ts";

describe("each cell is as its row says", () => {
	it.each(titled(({ channels }) => !channels.some(isOptional)))("%s", (_, row) => {
		expect(cellsOf(row).flatMap(problemsOf)).toEqual([]);
	});
});

describe("the table", () => {
	it("has no empty cell", () => {
		expect(emptyCells(table)).toEqual([]);
	});

	it("names hazards, and proof tests that those hazards name too", () => {
		const file = "hardware/hazards.yaml";
		const { hazards } = readHazards(readFileSync(join(root, file), "utf8"), file);
		for (const row of table.rows) {
			if (row.answer !== "undetected") continue;
			const hazard = hazards.find((one) => one.hazard === row.hazard);
			expect(hazard?.proof, row.hazard).toContainEqual({ proofTest: row.proofTest });
		}
	});
});

/** The cell of that name, its row changed. */
function spoilt(name: string, change: object): Cell {
	const cell = table.rows.flatMap(cellsOf).find((one) => nameOf(one) === name);
	if (cell === undefined) throw new Error(`no cell ${name}`);
	return { ...cell, row: { ...cell.row, ...change } as SensorFaultRow };
}

describe("a wrong row fails", () => {
	const undetected = { hides: "all", hazard: "hose-leaks", proofTest: "tray-with-diesel" };

	it.each<[string, string, object, RegExp]>([
		["harmless, and it stops", "tray cut, pumping", { answer: "harmless" }, /trips sensor-fault/],
		["too soon", "flow-pulse cut, pumping", { withinSeconds: 3 }, /dry-run after [4-6]/],
		["another trip", "stop-loop stuck, pumping", { codes: ["stop-button"] }, /trips no-current/],
		[
			"a trip where there is none",
			"case-temperature stuck, pumping",
			{ answer: "trip", codes: ["motor-hot"], withinSeconds: 900 },
			/no trip, ends finished/,
		],
		[
			"a trip, refused in other words",
			"tray drifts-down, off",
			{ answer: "trip", codes: ["leak"], withinSeconds: 1, by: "start", refused: "wet" },
			/no trip, ends refused/,
		],
		["attended stops, and it goes on", "tray cut, pumping", { attended: "stops" }, /it goes on/],
		[
			"attended goes on, and it stops",
			"stop-loop cut, off",
			{ attended: "goes on" },
			/ends refused/,
		],
		["another channel's name", "tray cut, off", { names: "vacuum" }, /does not name vacuum/],
		[
			"undetected, and it is seen",
			"tray drifts-up, pumping",
			{ answer: "undetected", ...undetected },
			/trips leak/,
		],
		[
			"found later, and it is not",
			"tray stuck, pumping",
			{ later: "leak" },
			/does not find it later/,
		],
		[
			"a hazard that nothing ever sees",
			"tray stuck, pumping",
			{ whenHazard: "ice-in-bowl", hazardSize: undefined },
			/not seen by good sensors/,
		],
		["it waits, and it goes on", "bowl-tap stuck, tripped", { waits: true }, /the pump ran/],
		[
			"it goes on, and it waits",
			"acknowledge-button cut, tripped",
			{ waits: undefined },
			/ends tripped/,
		],
		[
			"litres as before, and they suffer",
			"flow-pulse drifts-down, pumping",
			{ litres: undefined },
			/L more/,
		],
		[
			"a story that never comes there",
			"acknowledge-button cut, pumping",
			{ armed: false },
			/no scenario/,
		],
	])("%s", (_, name, change, says) => {
		expect(problemsOf(spoilt(name, {}))).toEqual([]);
		expect(problemsOf(spoilt(name, change)).join("\n")).toMatch(says);
	});

	it("a row that is gone leaves its cells empty", () => {
		const rows = table.rows.filter(({ channels }) => !channels.includes("bowl-tap"));
		expect(emptyCells({ ...table, rows }).length).toBeGreaterThan(40);
	});

	it.each<[string, (text: string) => string, RegExp]>([
		["a misspelt trip", (t) => t.replace("[no-current]", "[nocurrent]"), /codes\[0\]/],
		[
			"a cell twice",
			(t) => t.replace("states: [off, tripped]", "states: [off, pumping]"),
			/one row/,
		],
		["a fault of another", (t) => t.replace("[silent]", "[stuck]"), /for board: silent/],
		["no reason", (t) => t.replace(/ {4}because: It reads as fuel.*\n/, ""), /because/],
		[
			"an unknown without its time",
			(t) => t.replace("by: start\n    attended", "attended"),
			/by: st/,
		],
		["a sensor's fault for a hazard", (t) => t.replace("hose-off", "tray-cut"), /whenHazard/],
	])("%s, with file, line and key", (_, change, says) => {
		expect(change(text)).not.toBe(text);
		const reading = () => readSensorFaults(change(text), SOURCE);
		expect(reading).toThrow(says);
		expect(reading).toThrow(/hardware\/sensor-faults\.yaml:\d+/);
	});
});

it("the page tells where a fault hides, in words", () => {
	const rows = undetectedIn(table);
	const statesOf = (sensor: string, fault: string) =>
		rows.find((row) => row.sensor === sensor && row.fault === fault)?.states;
	expect(statesOf("tray", "stuck")).toBe("in any state");
	expect(statesOf("vacuum", "drifts up")).toBe("starting (drawing), pumping");
});
