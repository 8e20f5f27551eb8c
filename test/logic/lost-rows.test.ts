// Channels that say nothing sensible: which quantity each row looks at, for how long, and whether
// its trip is for every order or for those that nobody attends.

import { describe, expect, it } from "vitest";
import type { OptionalSensor } from "../../firmware/config/optional-sensors.ts";
import type { FindingName } from "../../firmware/sense/finding-names.ts";
import { lost, optionalRows } from "../../firmware/sense/lost-rows.ts";
import type { Moment } from "../../firmware/sense/quantity.ts";
import type { Sensed } from "../../firmware/sense/sensed.ts";
import { wellSensed } from "../stories/well.ts";
import { rigWith } from "./rig.ts";

const moment: Moment = {
	nowMs: 1_000,
	elapsedMs: 100,
	motorOn: true,
	polishing: true,
	run: "a",
	tank: "port",
	sameTank: true,
	toTank: undefined,
};
const rows: ReadonlyArray<readonly [FindingName, OptionalSensor, keyof Sensed]> = [
	["vacuumLost", "vacuum", "vacuumKpa"],
	["trayLost", "tray", "tray"],
	["returnSeatLost", "return-seat", "returnSeat"],
	["tubeSeatLost", "tube-seat", "tubeSeat"],
	["pressureSwitchLost", "pressure-switch", "pressureSwitch"],
	["levelFromLost", "level-from", "levelFrom"],
	["levelToLost", "level-to", "levelTo"],
	["fuelTemperatureLost", "fuel-temperature", "fuelC"],
	["caseTemperatureLost", "case-temperature", "caseC"],
	["bowlTapLost", "bowl-tap", "bowlTapKpa"],
];
const all = rows.map(([, sensor]) => sensor);
const setpoints = { sensorLostMs: 1_234 };
const full = rigWith({ sensors: all, setpoints });
const well: Sensed = { ...wellSensed, bowlTapKpa: 10 };

describe("each optional channel", () => {
	it.each(rows)("%s tells that %s is lost, and stops what nobody attends", (name, sensor, key) => {
		const row = new Map(optionalRows(full)).get(name);
		if (row === undefined) throw new Error(`no row ${name}`);
		const bad: Sensed = { ...well, [key]: "short" };
		expect([row.seen(well, moment, full), row.seen(bad, moment, full)]).toEqual([false, true]);
		expect([row.onMs, row.offMs]).toEqual([1_234, 1_234]);
		expect(row.loses?.value(bad)).toBe("short");
		expect([row.loses?.sensor, row.loses?.always]).toEqual([sensor, false]);
		expect(row.event?.(true, 5, bad, full)).toEqual({
			type: "trouble",
			atMs: 5,
			code: "sensor-fault",
			cause: `${sensor} reads short`,
			unattendedOnly: true,
		});
		expect(row.event?.(false, 5, bad, full)).toBeNull();
	});

	it("has a row where it is fitted, and only there", () => {
		expect(optionalRows(full).map(([name]) => name)).toEqual(rows.map(([name]) => name));
		const two = rigWith({ sensors: ["tray", "level-to"], setpoints });
		expect(optionalRows(two).map(([name]) => name)).toEqual(["trayLost", "levelToLost"]);
		expect(optionalRows(rigWith({ sensors: [] }))).toEqual([]);
	});
});

describe("a channel that no pump may run without", () => {
	it("stops every order when it is lost", () => {
		const row = lost(["bowl-probe", ({ probe }) => probe, true], full);
		const bad: Sensed = { ...well, probe: "unlike" };
		expect([row.seen(well, moment, full), row.seen(bad, moment, full)]).toEqual([false, true]);
		expect(row.loses?.always).toBe(true);
		expect(row.event?.(true, 5, bad, full)).toEqual({
			type: "trouble",
			atMs: 5,
			code: "sensor-fault",
			cause: "bowl-probe reads unlike",
		});
	});
});
