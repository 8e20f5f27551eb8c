// The short scenarios on two boards: the model, and the stock Firmata image on an emulated
// ATmega328P driven through johnny-five. Same trips in the same order within 0.5 s, litres within
// 1 %. One after the other, since each emulated run wants a core for itself.

import { beforeAll, describe, expect, it } from "vitest";
import { type BenchResult, sumUp } from "../../sim/bench/judge.ts";
import { loadScenario, shippedScenarios } from "../../sim/bench/load.ts";
import { runScenario } from "../../sim/bench/runner.ts";
import type { EmulatedRun } from "../../sim/emulated-board/lockstep.ts";
import { runInProcess } from "../../sim/emulated-board/process.ts";
import { isShort } from "../../sim/emulated-board/short-runs.ts";
import { pins, root } from "../stories/world.ts";

/** What each emulated run may take, s. */
const WALL_S_MAX = 40;
const child = `${root}/.build/sim/emulated-board/child.js`;
const short = shippedScenarios(root)
	.map(loadScenario)
	.filter(({ scenario }) => isShort(scenario));

it("there are short scenarios, water in the bowl among them", () => {
	expect(short.length).toBeGreaterThanOrEqual(10);
	expect(short.map(({ name }) => name)).toContain("water-under-the-tube");
});

describe.each(short)("$name", ({ name, scenario, rig }) => {
	const onModel = sumUp(name, runScenario(scenario, rig, pins), 0);
	let run: EmulatedRun;
	let emulated: BenchResult;
	let wallS = 0;

	beforeAll(async () => {
		const began = Date.now();
		run = await runInProcess({ scenario, rig, pins, seed: scenario.seed }, child);
		wallS = (Date.now() - began) / 1000;
		emulated = sumUp(name, run, wallS);
	}, 120_000);

	it("really ran on the emulated board", () => {
		expect(emulated.board).toBe("emulated");
		// 16 MHz for the scenario's time and the boot.
		expect(run.cycles).toBeGreaterThan(16e6 * run.simulatedSeconds);
		expect(run.edges).toBeGreaterThanOrEqual(5);
		expect(wallS).toBeLessThan(WALL_S_MAX);
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

	it("pumps and logs the litres of the model", () => {
		const model = onModel.truth.litresThroughPump;
		// A contact may move half a tick earlier or later: that counts in runs of a second or two.
		const halfTick = (rig.pump.freeFlowLph / 3600) * 0.05;
		const most = Math.max(0.01 * model, halfTick);
		expect(Math.abs(emulated.truth.litresThroughPump - model)).toBeLessThanOrEqual(most);
		// Two pulses of the meter either way: in half a litre each is half a percent.
		const pulseLitres = 1 / rig.meter.pulsesPerLitre;
		const allowed = Math.max(0.01 * onModel.logged.litres, 2.01 * pulseLitres);
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
