// Stories of coverage: a rig that lacks a sensor is not left alone, and says for which hazard and
// which sensor; somebody may attend it all the same. And rig files that contradict themselves are
// refused with file, line and key.

import { describe, expect, it } from "vitest";
import { InputError } from "../../firmware/config/input-error.ts";
import { readInputFile } from "../../firmware/config/input-file.ts";
import { optionalSensors } from "../../firmware/config/optional-sensors.ts";
import { type Rig, readRig } from "../../firmware/config/rig.ts";
import { coverageGaps, coverageOf, coverageRows } from "../../firmware/cycle/coverage.ts";
import { exampleRig, rigFile, World } from "./world.ts";

type Change = (text: string) => string;

/** The example rig's text without one of its sensors. */
const without =
	(sensor: string): Change =>
	(text) =>
		text.replace(`    ${sensor},\n`, "");
const withoutKey =
	(key: string): Change =>
	(text) =>
		text.replace(new RegExp(`^  ${key}: .*\n`, "m"), "");

function refusedOf(rig: Rig, attended: boolean): string[] {
	const world = new World(rig);
	world.pass(2);
	world.polish({ attended });
	world.pass(2);
	return world.of("order-refused").flatMap(({ reasons }) => reasons);
}

const fitted = exampleRig().sensors;

describe.each(fitted)("a rig without %s", (sensor) => {
	const rig = exampleRig(without(sensor));
	const hazards = Object.entries(coverageRows).filter(
		([, { needs, unattended }]) => unattended && needs.some((need) => need === sensor),
	);

	it("is refused an order that nobody attends, with each hazard and the sensor to fit", () => {
		expect(hazards.length).toBeGreaterThan(0);
		const words = hazards.map(([hazard]) => `${hazard} is not covered: fit ${sensor}`);
		expect(refusedOf(rig, false)).toEqual(words);
		expect(coverageGaps(rig)).toEqual(words);
	});

	it("may be attended", () => {
		expect(refusedOf(rig, true)).toEqual([]);
	});
});

describe("what is covered", () => {
	it("on the example rig is all but which of tube and element it is", () => {
		const open = coverageOf(exampleRig()).filter(({ covered }) => !covered);
		expect(open.map(({ hazard, missing }) => [hazard, missing])).toEqual([
			["tube-or-element", ["bowl-tap"]],
		]);
		expect(coverageGaps(exampleRig())).toEqual([]);
	});

	it("with all sensors is all", () => {
		const rig = exampleRig((text) => text.replace("    tray,", "    tray,\n    bowl-tap,"));
		expect(coverageOf(rig).every(({ covered }) => covered)).toBe(true);
	});

	it("with none is nothing, and each row says what it lacks", () => {
		const rig = { ...exampleRig(), sensors: [] };
		for (const { covered, missing, hazard } of coverageOf(rig)) {
			expect(covered).toBe(false);
			expect(missing).toEqual(coverageRows[hazard].needs);
		}
		const unattended = Object.values(coverageRows).filter((row) => row.unattended);
		expect(coverageGaps(rig).length).toBe(unattended.length);
	});

	it("asks for every optional sensor somewhere", () => {
		const asked = new Set(Object.values(coverageRows).flatMap(({ needs }) => [...needs]));
		expect([...asked].sort()).toEqual([...optionalSensors].sort());
	});

	it("of a shut return needs a relief to the tank beside the switch", () => {
		const rig = exampleRig(withoutKey("bypassKpa"));
		const [gap, ...others] = coverageGaps(rig);
		expect(gap).toMatch(/^discharge-shut is not covered: fit pump.pressureSwitchKpa and /);
		expect(others).toEqual([]);
		expect(refusedOf(rig, false)).toEqual([gap]);
		expect(refusedOf(rig, true)).toEqual([]);
	});
});

/** What is wrong with the example rig once it is changed; empty when nothing is. */
function problemsOf(change: Change) {
	const text = change(readInputFile(rigFile));
	try {
		readRig(text, "some.rig.yaml");
		return [];
	} catch (error) {
		if (!(error instanceof InputError)) throw error;
		return error.problems.map(({ file, line, key, allowed }) => {
			const shown = text.split("\n")[(line ?? 0) - 1] ?? "";
			return { file, key, allowed, line: shown.trim() };
		});
	}
}

const setpoints =
	(...lines: string[]): Change =>
	(text) =>
		text.replace("setpoints: {}", ["setpoints:", ...lines.map((line) => `  ${line}`)].join("\n"));

const chain =
	(...changes: Change[]): Change =>
	(text) =>
		changes.reduce((changed, change) => change(changed), text);

const weekly =
	(...plans: string[]): Change =>
	(text) =>
		[text, "schedule:", "  weekly:", ...plans.map((plan) => `    - ${plan}`), ""].join("\n");
const SUNDAY = '{ name: sunday, day: sunday, at: "10:00", work: { sweep: { tank: port } } }';

const ironPhosphate: Change = (text) => text.replace("flooded", "iron-phosphate");

interface Wrong {
	readonly what: string;
	readonly change: Change;
	readonly key: string;
	readonly line: string;
	readonly allowed: string;
}

const wrong: readonly Wrong[] = [
	{
		what: "holds for a low battery at or under the floor",
		change: setpoints("supplyFloorVolts: 11.6", "supplyHoldVolts: 11.6"),
		key: "setpoints.supplyHoldVolts",
		line: "supplyHoldVolts: 11.6",
		allowed: "above supplyFloorVolts = 11.6",
	},
	{
		what: "plans the work of a tank that it has not",
		change: weekly(SUNDAY.replace("port", "wing")),
		key: "schedule.weekly[0].work.sweep.tank",
		line: `- ${SUNDAY.replace("port", "wing")}`,
		allowed: "one of port, starboard, day",
	},
	{
		what: "has two plans of one name",
		change: weekly(SUNDAY, SUNDAY),
		key: "schedule.weekly[1].name",
		line: `- ${SUNDAY}`,
		allowed: "a name no other plan has",
	},
	{
		what: "plans for a time that no day has",
		change: weekly(SUNDAY.replace("10:00", "24:10")),
		key: "schedule.weekly[0].at",
		line: `- ${SUNDAY.replace("10:00", "24:10")}`,
		allowed: "a time of day from 00:00 to 23:59",
	},
	{
		what: "rests the motor at the heat that stops it",
		change: setpoints("caseRestC: 80", "caseStopC: 80"),
		key: "setpoints.caseRestC",
		line: "caseRestC: 80",
		allowed: "below caseStopC = 80",
	},
	{
		what: "lets a held order go on at the voltage that holds it",
		change: setpoints("supplyHoldVolts: 12.4", "supplyResumeVolts: 12.4"),
		key: "setpoints.supplyResumeVolts",
		line: "supplyResumeVolts: 12.4",
		allowed: "above supplyHoldVolts = 12.4",
	},
	{
		what: "empties lithium iron phosphate to a lead battery's mark",
		change: chain(ironPhosphate, setpoints("supplyHoldVolts: 12.7", "supplyResumeVolts: 13.2")),
		key: "setpoints.supplyHoldVolts",
		line: "supplyHoldVolts: 12.7",
		allowed: "at least 12.8 for iron-phosphate",
	},
	{
		what: "does so by leaving the setpoint out",
		change: ironPhosphate,
		key: "setpoints.supplyHoldVolts",
		line: "setpoints: {}",
		allowed: "at least 12.8 for iron-phosphate",
	},
	{
		what: "stops at a vacuum that the pump never reaches",
		change: chain(setpoints("vacuumStopKpa: 50"), (text) =>
			text.replace("wetSuctionKpa: 55", "wetSuctionKpa: 50"),
		),
		key: "setpoints.vacuumStopKpa",
		line: "vacuumStopKpa: 50",
		allowed: "below pump.wetSuctionKpa = 50",
	},
	{
		what: "names a sensor twice",
		change: (text) => text.replace("    tray,\n", "    tray,\n    tray,\n"),
		key: "sensors[2]",
		line: "tray,",
		allowed: "each sensor once",
	},
	{
		what: "has a pressure switch without its mark",
		change: withoutKey("pressureSwitchKpa"),
		key: "sensors[4]",
		line: "pressure-switch,",
		allowed: "pressure-switch only with pump.pressureSwitchKpa",
	},
	{
		what: "proves fuel by less flow than counts as dry",
		change: setpoints("dryFlowLph: 40"),
		key: "setpoints.dryFlowLph",
		line: "dryFlowLph: 40",
		allowed: "below primedFlowLph = 35",
	},
	{
		what: "has a turbine that air turns as fast as what is to prove fuel",
		change: (text) => text.replace("kind: positive-displacement", "kind: turbine"),
		key: "setpoints.primedFlowLph",
		line: "setpoints: {}",
		allowed: "at least 0.5 of pump.freeFlowLph = 47.5 with a turbine: air turns it too",
	},
	{
		what: "waits longer for water than the interlock does",
		change: setpoints("waterDelayMs: 401"),
		key: "setpoints.waterDelayMs",
		line: "waterDelayMs: 401",
		allowed: "at most 400",
	},
	{
		what: "waits for less cold than freezes water",
		change: setpoints("tooColdC: 1"),
		key: "setpoints.tooColdC",
		line: "tooColdC: 1",
		allowed: "at least 2",
	},
	{
		what: "has a setpoint that nobody knows",
		change: setpoints("vacuumStopKPa: 20"),
		key: "setpoints.vacuumStopKPa",
		line: "vacuumStopKPa: 20",
		allowed: "vacuumStopKpa (did you mean that?)",
	},
	{
		what: "has a sensor that nobody knows",
		change: (text) => text.replace("    tray,", "    drip-tray,"),
		key: "sensors[1]",
		line: "drip-tray,",
		allowed: "vacuum, tray, return-seat",
	},
];

describe("a rig file is refused that", () => {
	it.each(wrong)("$what", ({ change, key, line, allowed }) => {
		const problems = problemsOf(change);
		expect(problems.map((problem) => problem.key)).toEqual([key]);
		expect(problems[0]).toMatchObject({ file: "some.rig.yaml", line });
		expect(problems[0]?.allowed).toContain(allowed);
	});

	it("says all that is wrong at once", () => {
		const both = chain(withoutKey("pressureSwitchKpa"), setpoints("dryFlowLph: 40"));
		expect(
			problemsOf(both)
				.map(({ key }) => key)
				.sort(),
		).toEqual(["sensors[4]", "setpoints.dryFlowLph"]);
	});
});

describe("a rig file is read that", () => {
	it.each<[string, Change]>([
		["is the example", (text) => text],
		["stops a kPa before the pump gives up", setpoints("vacuumStopKpa: 50")],
		[
			"has lithium iron phosphate and marks for it",
			chain(ironPhosphate, setpoints("supplyHoldVolts: 12.9", "supplyResumeVolts: 13.3")),
		],
		[
			"has neither the switch nor its mark",
			chain(without("pressure-switch"), withoutKey("pressureSwitchKpa")),
		],
		["says nothing of sensors", (text) => text.replace(/^sensors:\n(?: {2}.*\n)+/m, "")],
	])("%s", (_, change) => {
		expect(problemsOf(change)).toEqual([]);
	});
});
