// The short scenarios on two boards: the model, and the stock Firmata image on an emulated
// ATmega328P driven through johnny-five. Same trips in the same order within 0.5 s, litres within
// 1 %; and edge by edge, the same level changes on every output pin. One after the other, since
// each emulated run wants a core for itself.

import { beforeAll, describe, expect, it } from "vitest";
import { compareEdges, type EdgeDifference, edgesOf } from "../../sim/bench/edges.ts";
import { type BenchResult, sumUp } from "../../sim/bench/judge.ts";
import { findScenario, loadScenario, shippedScenarios } from "../../sim/bench/load.ts";
import { type ModelRun, runScenario } from "../../sim/bench/runner.ts";
import { type BenchRun, TICK_MS } from "../../sim/bench/session.ts";
import type { EmulatedRun } from "../../sim/emulated-board/lockstep.ts";
import { runInProcess } from "../../sim/emulated-board/process.ts";
import { isShort } from "../../sim/emulated-board/short-runs.ts";
import { pins, root } from "../stories/world.ts";

const child = `${root}/.build/sim/emulated-board/child.js`;
const short = shippedScenarios(root)
	.map(loadScenario)
	.filter(({ scenario }) => isShort(scenario));

/**
 * How many ticks later what a reading decides may come on the emulated board. None where only the
 * clock decides. One where a pin or an analog input of the chip itself does: its report reaches the
 * controller after the tick in which the model board reads it. Two at the probe, which is judged
 * once in each phase of two ticks. Two or three where it is a register of the converter, whose
 * round takes four ticks, less what the finding waits for anyway. Faults of the board itself are
 * not among them: there the pins move, or stand, against the controller.
 */
const lateTicks: Readonly<Record<string, number>> = {
	"not-armed": 0,
	"attended-cupful": 0,
	"dead-computer": 1,
	"log-fails": 1,
	"meter-stands-still": 1,
	"motor-wire-off": 1,
	"seized-pump": 1,
	"stop-button": 1,
	"stop-wire-cut": 1,
	"water-not-drained": 1,
	"water-under-the-tube": 1,
	"welded-k1": 1,
	"welded-k2": 1,
	"probe-wire-cut": 2,
	"probe-wire-shorted": 2,
	"tube-moved": 2,
	"return-falls-out": 3,
	"return-shut": 3,
};
/**
 * From a tick to the pin: a command of three bytes takes 0.5 ms at 57,600 baud, up to six of them
 * go out at once, and at the first tick the board is still being set up.
 */
const LINE_MS = 4;

/** While a device is absent the image sends warnings, and misses three pulses of a hundred. */
const isWarning = (name: string) => /^(converter|monitor)-/.test(name);

const apartS = (one: BenchResult, other: BenchResult): number =>
	Math.max(
		0,
		...one.trips.map(({ atSeconds }, i) =>
			Math.abs(atSeconds - (other.trips[i]?.atSeconds ?? atSeconds)),
		),
	);

it("there are short scenarios, those that are compared edge by edge among them", () => {
	expect(short.length).toBeGreaterThanOrEqual(10);
	expect(short.map(({ name }) => name)).toEqual(expect.arrayContaining(Object.keys(lateTicks)));
});

describe.each(short)("$name", ({ name, scenario, rig }) => {
	const modelRun = runScenario(scenario, rig, pins);
	const onModel = sumUp(name, modelRun, 0);
	let run: EmulatedRun;
	let emulated: BenchResult;

	beforeAll(async () => {
		run = await runInProcess({ scenario, rig, pins, seed: scenario.seed }, child);
		emulated = sumUp(name, run, 0);
	}, 120_000);

	it("really ran on the emulated board", () => {
		expect(emulated.board).toBe("emulated");
		// 16 MHz for the scenario's time and the boot.
		expect(run.cycles).toBeGreaterThan(16e6 * run.simulatedSeconds);
		expect(run.edges.length).toBeGreaterThanOrEqual(5);
	});

	it("trips as the model does", () => {
		expect(emulated.trips.map(({ code }) => code)).toEqual(onModel.trips.map(({ code }) => code));
		emulated.trips.forEach(({ atSeconds }, i) => {
			expect(Math.abs(atSeconds - (onModel.trips[i]?.atSeconds ?? Infinity))).toBeLessThanOrEqual(
				0.5,
			);
		});
		expect(emulated.outcome).toBe(onModel.outcome);
	});

	const late = lateTicks[name];
	if (late !== undefined) {
		it(`moves every output pin as the model's controller asks, ${late} ticks late at most`, () => {
			expect(differences(modelRun, run, late)).toEqual([]);
		});
	}

	it("pumps and logs the litres of the model", () => {
		const model = onModel.truth.litresThroughPump;
		// A contact may move half a tick earlier or later: that counts in runs of a second or two.
		const halfTick = (rig.pump.freeFlowLph / 3600) * 0.05;
		// What is pumped between the two trips, which may lie 0.5 s apart, is nobody's error.
		const between = (rig.pump.freeFlowLph / 3600) * apartS(emulated, onModel);
		const most = Math.max(0.01 * model, halfTick) + between;
		expect(Math.abs(emulated.truth.litresThroughPump - model)).toBeLessThanOrEqual(most);
		// Two pulses of the meter either way: in half a litre each is half a percent.
		const pulseLitres = 1 / rig.meter.pulsesPerLitre;
		const share = isWarning(name) ? 0.03 : 0.01;
		const allowed = Math.max(share * onModel.logged.litres, 2.01 * pulseLitres) + between;
		expect(Math.abs(emulated.logged.litres - onModel.logged.litres)).toBeLessThanOrEqual(allowed);
	});

	it("holds what the scenario expects", () => {
		expect(emulated.expectations.filter(({ held }) => !held)).toEqual([]);
	});

	it("never closes K2 while the board boots", () => {
		expect(run.k2ClosedInBoot).toBe(false);
		expect(run.bootMs).toBeGreaterThan(1_000);
	});
});

/** What the pins did otherwise than the controller on the model board asked. */
function differences(onModel: ModelRun, run: EmulatedRun, late: number): EdgeDifference[] {
	const untilMs = Math.min(run.simulatedSeconds, onModel.simulatedSeconds) * 1_000;
	const asked = onModel.boots.flatMap(({ tape }) => edgesOf(tape));
	expect(asked.length).toBeGreaterThan(100);
	const tolerance = { tickMs: TICK_MS, lineMs: LINE_MS, lateTicks: late, untilMs };
	return compareEdges(asked, run.edges, tolerance);
}

it("a battery that is weak at the start: the same edges, a tick late at most", async () => {
	const { scenario, rig } = loadScenario(findScenario(root, "weak-battery"));
	// The shipped story takes an hour: here the joint corrodes before the pump is asked for.
	const faults = scenario.faults.map((fault) => ({ ...fault, atSeconds: 20, overSeconds: 2 }));
	const early = { ...scenario, faults, hoursMax: 45 / 3_600 };
	const onModel = runScenario(early, rig, pins);
	const run = await runInProcess({ scenario: early, rig, pins, seed: early.seed }, child);
	const codes = (one: BenchRun) => sumUp("weak-battery", one, 0).trips.map(({ code }) => code);
	expect(codes(onModel)).toEqual(["supply-low"]);
	expect(codes(run)).toEqual(["supply-low"]);
	expect(differences(onModel, run, 1)).toEqual([]);
}, 120_000);
