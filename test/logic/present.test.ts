// The conditions of one tick, as a start is asked against them: what is unknown, what is not yet
// believed, and what blocks.

import { describe, expect, it } from "vitest";
import type { FindingName } from "../../firmware/sense/finding-names.ts";
import { findingsAtBoot, planFindings } from "../../firmware/sense/findings.ts";
import { EMPTY_LEAKY } from "../../firmware/sense/leaky.ts";
import { presentOf } from "../../firmware/sense/present.ts";
import type { Sensed } from "../../firmware/sense/sensed.ts";
import { wellPresent, wellSensed } from "../stories/well.ts";
import { rig } from "./rig.ts";

const plan = planFindings(rig);
const { logFailed, commissioned, arming, attended, gaps, quiet } = wellPresent;
const permits = { logFailed, commissioned, arming, attended, gaps, quiet };

function present(change: Partial<Sensed>, found: FindingName[] = []) {
	const there = { on: true, towards: EMPTY_LEAKY };
	const names = plan.rows.map(([name]) => name);
	const findings = findingsAtBoot(plan).map((none, i) =>
		found.includes(names[i] as FindingName) ? there : none,
	);
	return presentOf(plan, { ...wellSensed, ...change }, findings, permits);
}

it("where all is well nothing stands against a start", () => {
	expect(present({})).toEqual(wellPresent);
});

it("what is permitted goes through as it is", () => {
	const other = { ...permits, logFailed: true, commissioned: false, arming: null, gaps: ["a"] };
	const got = presentOf(plan, wellSensed, findingsAtBoot(plan), { ...other, attended: true });
	expect(got).toEqual({ ...wellPresent, ...other, attended: true });
});

it("probe and stop loop are those of this tick", () => {
	const { stop, probe } = present({ stop: "broken", probe: "wet" });
	expect([stop, probe]).toEqual(["broken", "wet"]);
});

it("a state that knows no row has found nothing", () => {
	expect(presentOf(plan, wellSensed, [], permits)).toEqual(wellPresent);
});

it("two levels that differ stand against work in one tank only", () => {
	const { blockers, oneTankBlockers } = present({}, ["levelsDiffer"]);
	expect(blockers).toEqual([]);
	expect(oneTankBlockers).toEqual([
		"the levels under tube and return differ: are they in one tank?",
	]);
	expect(present({}, ["leak"]).oneTankBlockers).toEqual([]);
});

describe("unknown", () => {
	it.each<[Partial<Sensed>, FindingName[], string[], string[]]>([
		[{ probe: "open" }, [], ["bowl-probe open"], []],
		[{ flowLph: "stale" }, [], ["flow-pulse stale"], []],
		[{ motorAmps: "stale" }, [], ["motor-current stale"], []],
		[{ stop: "short" }, [], ["stop-loop short"], []],
		[{ supplyVolts: "stale" }, [], [], []],
		[{ supplyVolts: "stale" }, ["voltsLost"], [], ["supply-volts stale"]],
		[{ tray: "open" }, [], [], []],
		[{ tray: "open" }, ["trayLost"], [], ["tray open"]],
		[{ probe: "open" }, ["probeLost"], ["bowl-probe open"], []],
		[{}, ["probeLost"], ["bowl-probe not believed yet"], []],
		[{}, ["trayLost"], [], ["tray not believed yet"]],
		[{ board: "stale" }, [], ["board stale"], []],
		[{ board: "stale" }, ["boardLost"], ["board stale"], []],
		[{ board: 0 }, [], ["board not as driven"], []],
		[{ board: 0 }, ["boardLost"], ["board not as driven"], []],
		[{}, ["boardLost"], ["board not believed yet"], []],
		[
			{ board: "stale", probe: "stale", tray: "open" },
			["meterLost", "trayLost"],
			["board stale", "bowl-probe stale", "flow-pulse not believed yet"],
			["tray open"],
		],
	])("%j with %j found", (change, found, unknown, unknownOptional) => {
		const got = present(change, found);
		expect(got.unknown).toEqual(unknown);
		expect(got.unknownOptional).toEqual(unknownOptional);
		expect(got.seen).toEqual(plan.rows.map(([name]) => name).filter((n) => found.includes(n)));
	});
});

describe("found", () => {
	it("blocks in its row's words, all of them", () => {
		const { seen, blockers, unknown } = present({}, ["leak", "tubeOut"]);
		expect(seen).toEqual(["leak", "tubeOut"]);
		expect(blockers).toEqual(["the tray is not dry", "the tube's head is not seated"]);
		expect(unknown).toEqual([]);
	});

	it("blocks nothing where its row has no such words", () => {
		const { seen, blockers } = present({}, ["water"]);
		expect(seen).toEqual(["water"]);
		expect(blockers).toEqual([]);
	});

	it("makes an order wait where its row says so", () => {
		expect(present({}, ["cold", "supplyRecovering"]).holds).toEqual(["cold", "supply-recovering"]);
	});
});
