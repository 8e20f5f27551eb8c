// When an arming lapses, what stands against arming, which tank it is for, and when the person who
// attends counts as gone.

import { describe, expect, it } from "vitest";
import {
	ASKS_BEFORE_MS,
	armingBlockers,
	armingGap,
	attendanceGap,
	lapseOf,
} from "../../firmware/cycle/arming.ts";
import type { Present } from "../../firmware/cycle/events.ts";
import type { FindingName } from "../../firmware/sense/finding-names.ts";
import { wellPresent as present } from "../stories/well.ts";
import { rig } from "./rig.ts";

const HOUR_MS = 3_600_000;
const arming = { atMs: 1_000, tank: null, toTank: null };
const at = (tank: string, toTank: string | null = null) => ({ tank, toTank });

describe("an arming", () => {
	const lapse = (found: FindingName[], nowMs: number) =>
		lapseOf(arming, (name) => found.includes(name), rig, nowMs);

	it.each<[FindingName, string]>([
		["supplyGone", "the isolator was opened or the supply was away"],
		["returnOut", "the return was unlocked"],
		["tubeOut", "the tube was taken off"],
	])("lapses when %s is found", (name, words) => {
		expect(lapse([name], 1_000)).toBe(words);
	});

	it("holds whatever else is found", () => {
		expect(lapse(["cold", "stop", "water", "vacuumLost"], 1_000)).toBeNull();
	});

	it("lapses after a day, and not a millisecond before", () => {
		expect(lapse([], 1_000 + 24 * HOUR_MS - 1)).toBeNull();
		expect(lapse([], 1_000 + 24 * HOUR_MS)).toBe("it was armed 24 h ago");
	});
});

describe("against arming stands", () => {
	it("nothing where all is well", () => {
		expect(armingBlockers(present)).toEqual([]);
	});

	it.each<[Partial<Present>, string]>([
		[{ gaps: ["no tray"] }, "no tray"],
		[{ blockers: ["the tray is not dry"] }, "the tray is not dry"],
		[{ commissioned: false }, "the rig is not commissioned"],
		[{ stop: "broken" }, "the stop button is not released"],
		[{ stop: "stale" }, "the stop button is not released"],
		[{ probe: "wet" }, "the water probe reads wet"],
		[{ unknown: ["bowl-probe stale"] }, "unknown: bowl-probe stale"],
		[{ unknownOptional: ["tray open"] }, "unknown: tray open"],
		[{ logFailed: true }, "the log has failed"],
	])("%j", (change, reason) => {
		expect(armingBlockers({ ...present, ...change })).toEqual([reason]);
	});

	it("all of it at once, every channel that is silent in one line", () => {
		const reasons = armingBlockers({
			...present,
			gaps: ["a gap"],
			blockers: ["a blocker"],
			unknown: ["one"],
			unknownOptional: ["two"],
			logFailed: true,
		});
		expect(reasons).toEqual(["a gap", "a blocker", "unknown: one, two", "the log has failed"]);
	});
});

describe("an unattended order", () => {
	it("needs an arming", () => {
		expect(armingGap(null, at("port"))).toBe("the plan is not armed at the rig");
	});

	it("may go to any tank at first, and then to that one only", () => {
		expect(armingGap(arming, at("port"))).toBeNull();
		expect(armingGap({ ...arming, tank: "port" }, at("port"))).toBeNull();
		expect(armingGap({ ...arming, tank: "port" }, at("day"))).toBe(
			"the plan is armed for port: set up and arm again for day",
		);
	});

	it("has its return where it was when the plan was armed", () => {
		const filling = { ...arming, ...at("port", "day") };
		expect(armingGap(filling, at("port", "day"))).toBeNull();
		expect(armingGap(filling, at("port"))).toBe(
			"the plan is armed for port into day: set up and arm again for port",
		);
	});
});

describe("who attends", () => {
	it("counts as gone a quarter of an hour after the last press", () => {
		expect(attendanceGap(5_000, rig, 5_000 + 15 * 60_000 - 1)).toBeNull();
		expect(attendanceGap(5_000, rig, 5_000 + 15 * 60_000)).toBe(
			"nobody pressed the box's button for 15 min",
		);
	});

	it("is asked a minute before", () => {
		expect(ASKS_BEFORE_MS).toBe(60_000);
	});
});
