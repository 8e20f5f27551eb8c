// Each step of commissioning can fail: for every one a spoilt world, or a person who does or types
// it wrongly, in which it does not pass; and in the sound world it does. On the model board, each
// step alone, by the bench's careful person.

import { describe, expect, it } from "vitest";
import { type Step, steps } from "../../firmware/commission/step-rows.ts";
import type { Person } from "../../sim/bench/commissioner.ts";
import { runScenario } from "../../sim/bench/runner.ts";
import { scenarioSchema } from "../../sim/bench/scenario.ts";
import { buildFaultRows, buildFaults } from "../../sim/build-faults.ts";
import { exampleRig, pins } from "./world.ts";

interface Spoilt {
	/** As a scenario file would say it: its reader checks them. */
	readonly start?: Readonly<Record<string, unknown>>;
	readonly faults?: ReadonlyArray<Readonly<Record<string, unknown>>>;
	readonly person?: Person;
	/** Part of a reason; left out where nothing is found out before the time is up. */
	readonly because?: string;
}

const drifting = (fault: string, size: number) => [{ fault, size, atSeconds: 0 }];
const stuck = (channel: string) => [{ fault: `${channel}-stuck`, atSeconds: 0 }];

/** The example rig has no tap between bowl and element. */
const spoilt: Readonly<Record<Exclude<Step, "bowl-zero">, Spoilt>> = {
	identity: { person: { types: { label: "some other rig" } }, because: "the box says" },
	lamps: { start: { builtWrong: ["trip-lamp-dark"] }, because: "flashes of the trip lamp" },
	horn: { start: { builtWrong: ["horn-silent"] }, because: "times that the horn sounded" },
	button: { faults: drifting("acknowledge-button-noisy", 2), because: "while nobody touched it" },
	"stop-loop": { faults: stuck("stop-loop"), because: "given up" },
	"return-loop": { faults: stuck("return-seat"), because: "given up" },
	"tube-loop": { faults: stuck("tube-seat"), because: "given up" },
	tray: { start: { builtWrong: ["tray-blind"] }, because: "given up" },
	probe: { faults: [{ fault: "probe-fouled", atSeconds: 0 }], because: "given up" },
	"vacuum-zero": { faults: drifting("vacuum-drifts", 1.2), because: "vacuumKpa reads" },
	levels: { faults: drifting("level-to-drifts", 8), because: "levelTo reads" },
	thermometers: { faults: drifting("fuel-temperature-drifts", 18), because: "fuelC reads" },
	supply: { faults: drifting("supply-volts-drifts", -5), because: "supplyVolts reads" },
	"run-timer": { person: { types: { openedHours: 12 } }, because: "12" },
	"leak-test": { faults: [{ fault: "hose-off", atSeconds: 0 }], because: "joints" },
	prime: { faults: [{ fault: "motor-wire-off", atSeconds: 0 }], because: "tripped: no-current" },
	amps: { person: { types: { clampAmps: 2.4 } }, because: "the clamp 2.4 A" },
	"dead-man": {
		faults: [{ fault: "k2-welded", uponState: "polishing" }],
		because: "K2 did not let go",
	},
	"stop-cuts": { start: { builtWrong: ["stop-outside-loop"] } },
	"return-cuts": { start: { builtWrong: ["return-outside-loop"] } },
	meter: { start: { meterErrorPct: 6 }, because: "rig file: meter.pulsesPerLitre" },
	element: {
		faults: [{ fault: "element-plugs", size: 3, atSeconds: 0 }],
		because: "the clean element takes",
	},
	siphon: { faults: [{ fault: "siphon", atSeconds: 0 }], because: "ran into the cup" },
	"trip-water": { faults: [{ fault: "probe-fouled", atSeconds: 0 }] },
	"trip-dry": { person: { omits: ["lift-foot"] } },
	"trip-leak": { start: { builtWrong: ["tray-blind"] } },
	"trip-return": { faults: stuck("return-seat"), because: "tripped: no-current" },
	"trip-tube": { faults: stuck("tube-seat") },
	"trip-suction": { faults: stuck("vacuum"), because: "tripped: dry-run" },
	"trip-discharge": { faults: stuck("pressure-switch"), because: "tripped: no-current" },
	"trip-stop": { faults: stuck("stop-loop"), because: "tripped: no-current" },
	"trip-board": { person: { omits: ["usb-out"] } },
};

const SOUND = {
	commissioned: false,
	armed: false,
	localTime: "2026-04-18T09:00",
	tube: "port",
	return: "port",
	batteryVolts: 12.8,
	tanks: { port: { fuelLitres: 180 } },
};

/** @returns what the log says of the step: whether it passed, and each reason why not */
function play(step: Step, { start = {}, faults = [], person = {} }: Spoilt = {}) {
	const scenario = scenarioSchema.parse({
		title: "A step alone",
		invented: true,
		rig: "example",
		seed: 7,
		start: { ...SOUND, ...start },
		crew: [{ atSeconds: 1, does: "prove", step }],
		faults,
		hoursMax: 0.08,
		expect: [{ stepFailed: step }],
	});
	const run = runScenario(scenario, exampleRig(), pins, { person: { tries: 1, ...person } });
	expect(run.hung).toBe(false);
	expect(run.records.some((record) => record.kind === "proof-begun" && record.step === step)).toBe(
		true,
	);
	const proofs = run.records.flatMap((record) => (record.kind === "proof" ? [record] : []));
	return {
		passed: proofs.some(({ passed }) => passed),
		isDue: run.stepsDue.includes(step),
		reasons: proofs.flatMap(({ reasons }) => reasons).join("; "),
	};
}

it("has a row for each step of the rig", () => {
	expect(Object.keys(spoilt).sort()).toEqual(steps.filter((step) => step !== "bowl-zero").sort());
});

describe.each(Object.entries(spoilt) as Array<[Step, Spoilt]>)("%s", (step, world) => {
	it("passes in a sound world", () => {
		expect(play(step)).toEqual({ passed: true, isDue: false, reasons: "" });
	});

	it("does not pass in a spoilt one", () => {
		const { passed, isDue, reasons } = play(step, world);
		expect({ passed, isDue }).toEqual({ passed: false, isDue: true });
		if (world.because !== undefined) expect(reasons).toContain(world.because);
	});
});

it.each(buildFaults)("%s is found by the step that its row names", (name) => {
	expect(play(buildFaultRows[name].foundBy, { start: { builtWrong: [name] } }).passed).toBe(false);
});

it("a stop that the computer sees proves nothing of K2: the test plug is out", () => {
	const { passed, reasons } = play("stop-cuts", { person: { omits: ["plug-stop"] } });
	expect(passed).toBe(false);
	expect(reasons).toContain("put the test plug in");
});
