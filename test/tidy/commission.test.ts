// The steps of commissioning held to the hazard analysis, both ways: every proof test that is due
// by days or after a change is a step or has its reason, with the same days; every hazard that a
// step names is there, and every hazard that the rig's own stops answer has a step. Each rule is
// seen to bite on a spoiled copy.

import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { type Part, partRows, parts } from "../../firmware/commission/parts.ts";
import { type Step, stepRows, steps } from "../../firmware/commission/step-rows.ts";
import { RELEASE_MS_MAX, type StepRow } from "../../firmware/commission/steps.ts";
import { TICK_MS } from "../../firmware/main.ts";
import { type HazardFile, readHazards } from "../../host/report/hazards.ts";
import { limits } from "../hardware/dead-man-parts.ts";
import { exampleRig, pins, root } from "../stories/world.ts";

const SOURCE = "hardware/hazards.yaml";
const file = readHazards(readFileSync(join(root, SOURCE), "utf8"), SOURCE);

/** Proof tests that no evidence of the box can stand for. */
const OF_THE_JOB: Readonly<Record<string, string>> = {
	bonding: "at each set-up, before the filler is opened: it proves this tank's filler",
	"fuel-check": "it proves what is in this tank",
	"site-check": "it proves this place",
	"set-up-check": "the round before it is left alone stands on its own card",
	"jar-sample": "it proves the fuel, and has no sensor",
};
/** Hazards that no step covers. */
const WITHOUT_STEP: Readonly<Record<string, string>> = {
	emulsion: "no sensor: a jar sample",
	"leak-outside-the-tray": "no sensor: the round at each set-up",
	"log-lost": "found at each start and told by its trip",
	"engine-run-from-the-tank": "the round at each set-up",
	"petrol-in-the-tank": "the fuel check at each tank",
	ignition: "the site check at each set-up",
	"static-spark": "bonding at each set-up",
};

/** What of the rig is changed, in the words after which a proof test is due again. */
const CHANGED: Readonly<Record<string, readonly Part[]>> = {
	"each change of the element": ["element"],
	"the sensor was moved or cleaned": ["tray"],
	"any work on the box's wiring": ["box"],
	"a change of board, computer or program": ["box"],
	"work on the dead-man's circuit": ["contacts"],
	"a change of pump, switch or relief": ["pump", "pressure-switch"],
	"each time the return is put into a tank": ["return-fitting"],
	"a change of element, tube or hose": ["element", "tube-head", "suction"],
	"a sensor was replaced": ["thermistors"],
	"work on the supply's wiring": ["monitor"],
	"a change of meter": ["meter"],
	"first build": ["box", "contacts"],
	"any change of wiring": ["box", "contacts"],
};
/** No part is changed: it is of the job, and stands on the card of its set-up. */
const AT_THE_JOB = ["each set-up at a tank", "fuel of another kind"];

/** Proof tests that a change of a part would not make due, by their words. */
function forgotten(rows: Rows, { proofTests }: HazardFile): string[] {
	return proofTests.flatMap(({ id, after = [] }) => {
		const own = Object.values(rows).filter((row) => row.proofTests.includes(id));
		if (own.length === 0) return [];
		const proven = own.flatMap((row) => [...row.parts]);
		return after
			.filter((words) => !AT_THE_JOB.includes(words))
			.flatMap((words) => {
				const changed = CHANGED[words];
				if (changed === undefined) return [`${id} after ${words}: what is that?`];
				const others = changed.filter((part) => !proven.includes(part));
				return others.map((part) => `${id} after ${words}: ${part}`);
			});
	});
}

type Rows = Readonly<Record<string, StepRow>>;

function problemsOf(rows: Rows, { hazards, proofTests }: HazardFile): string[] {
	const all = Object.entries(rows);
	const hazardNames = hazards.map(({ hazard }) => hazard);
	const testNames = proofTests.map(({ id }) => id);
	const tested = all.flatMap(([, row]) => row.proofTests);
	const covered = all.flatMap(([, row]) => row.hazards);
	const days = new Map(proofTests.map(({ id, everyDays = null }) => [id, everyDays]));
	return [
		...testNames
			.filter((id) => !tested.includes(id) && OF_THE_JOB[id] === undefined)
			.map((id) => `proof test ${id} is no step`),
		...Object.keys(OF_THE_JOB)
			.filter((id) => tested.includes(id) || !testNames.includes(id))
			.map((id) => `${id} needs no reason`),
		...all.flatMap(([step, row]) => [
			...row.proofTests.filter((id) => !testNames.includes(id)).map((id) => `${step}: no ${id}`),
			...row.hazards.filter((id) => !hazardNames.includes(id)).map((id) => `${step}: no ${id}`),
			...row.proofTests
				.filter((id) => days.get(id) !== row.everyDays)
				.map((id) => `${step}: ${row.everyDays} days, ${id}: ${days.get(id)}`),
		]),
		...hazardNames
			.filter((id) => !covered.includes(id) && WITHOUT_STEP[id] === undefined)
			.map((id) => `hazard ${id} has no step`),
		...Object.keys(WITHOUT_STEP)
			.filter((id) => covered.includes(id) || !hazardNames.includes(id))
			.map((id) => `hazard ${id} needs no reason`),
	];
}

const spoiled = (step: Step, change: Partial<StepRow>): Rows => ({
	...stepRows,
	[step]: { ...stepRows[step], ...change },
});

describe("the steps and the hazard analysis", () => {
	it("agree", () => {
		expect(problemsOf(stepRows, file)).toEqual([]);
	});

	it.each([
		["other days", spoiled("supply", { everyDays: 30 }), "supply: 30 days, volts-and-amps: 365"],
		["a test less", spoiled("siphon", { proofTests: [] }), "proof test anti-siphon is no step"],
		["a strange test", spoiled("horn", { proofTests: ["whistle"] }), "horn: no whistle"],
		["a strange hazard", spoiled("horn", { hazards: ["ghosts"] }), "horn: no ghosts"],
		["a reason too many", spoiled("horn", { proofTests: ["bonding"] }), "bonding needs no reason"],
	])("do not with %s", (_, rows, words) => {
		expect(problemsOf(rows, file).join("\n")).toContain(words);
	});

	it("do not when a hazard that only one step covers loses it", () => {
		const rows = spoiled("run-timer", { hazards: ["beat-forged"] });
		expect(problemsOf(rows, file)).toEqual(["hazard runs-for-ever has no step"]);
	});
});

describe("what is right of the dead-man", () => {
	it("is what its circuit keeps: hours of the run timer", () => {
		const { goes } = stepRows["run-timer"];
		const entries = goes.kind === "told" ? goes.entries : [];
		expect(entries.find(({ name }) => name === "openedHours")?.number).toEqual({
			min: limits.runTimerLeast / 60,
			max: limits.runTimerMost / 60,
		});
	});

	it("is what its circuit keeps: the release, which is seen two ticks later at the most", () => {
		expect(RELEASE_MS_MAX).toBe(1_000 * limits.releaseS + 2 * TICK_MS);
	});
});

describe("the parts", () => {
	it("are those after whose change a proof test is due", () => {
		expect(forgotten(stepRows, file)).toEqual([]);
		const spoilt = spoiled("vacuum-zero", { parts: ["gauge"] });
		const without = { ...spoilt, "bowl-zero": { ...stepRows["bowl-zero"], parts: [] } };
		expect(forgotten(without, file)).toEqual([
			"vacuum-zero after a change of element, tube or hose: element",
			"vacuum-zero after a change of element, tube or hose: tube-head",
			"vacuum-zero after a change of element, tube or hose: suction",
		]);
	});

	it("are each proven by a step", () => {
		const proven = new Set<Part>(steps.flatMap((step) => [...stepRows[step].parts]));
		expect(parts.filter((part) => !proven.has(part))).toEqual([]);
	});

	it("name keys of the rig file and channels of the pin map", () => {
		const rig = exampleRig() as unknown as Record<string, unknown>;
		const known = (key: string) => {
			const [first = "", second] = key.split(".");
			const inner = rig[first];
			if (second === undefined || inner === undefined) return inner !== undefined;
			return Object.hasOwn(inner as object, second) || OPTIONAL.includes(key);
		};
		const keys = [
			...parts.flatMap((part) => [...partRows[part].rig]),
			...steps.flatMap((step) => [...stepRows[step].figures]),
		];
		expect(keys.filter((key) => !known(key))).toEqual([]);
		const channels = parts.flatMap((part) => [...partRows[part].channels]);
		expect(channels.filter((name) => pins.channels[name] === undefined)).toEqual([]);
	});
});

/** Keys that a rig file may leave out. */
const OPTIONAL = ["pump.pressureSwitchKpa", "pump.bypassKpa", "pump.stallAmps"];
