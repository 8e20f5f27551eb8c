// The meter's factor by can and stopwatch: fills of one size, their uncertainty, outliers shown and
// struck by a person, the rig file held against them, also over a restart.

import { describe, expect, it } from "vitest";
import type { Fill } from "../../firmware/commission/evidence.ts";
import { factorOf, grubbsLimit, oddFill } from "../../firmware/commission/fills.ts";
import { fillList } from "../../firmware/commission/telling.ts";
import { Prover } from "./prover.ts";
import { exampleRig } from "./world.ts";

const told = (pulsesPerLitre: number) =>
	exampleRig((text) => text.replace(/pulsesPerLitre: [\d.]+/, `pulsesPerLitre: ${pulsesPerLitre}`));

/** One fill as the world's meter counts it, which makes `truth` pulses of a litre. */
function fill(world: Prover, litres: number, truth: number, readOff = 0): void {
	world.polish({ litres, attended: true });
	world.passUntil(() => world.name === "polishing", 60);
	const from = world.nowMs;
	world.passUntil(() => world.now?.asks === "answer", 1_000);
	const { pulses } = world.of("run-end").at(-1)?.run ?? { pulses: 0 };
	const seconds = (world.nowMs - from) / 1000;
	world.answer({ litres: pulses / truth + readOff, litresUncertainty: 0.01, seconds });
}

describe("fills of the can", () => {
	it("pass with the rig file's factor after three", () => {
		const world = new Prover(told(420));
		world.start("meter");
		for (const off of [0, 0.01, -0.01]) fill(world, 5, 420, off);
		expect(world.last).toMatchObject({ step: "meter", passed: true });
		const { pulsesPerLitre, uncertaintyPct, fills } = world.last?.values ?? {};
		expect(pulsesPerLitre).toBeGreaterThan(417);
		expect(pulsesPerLitre).toBeLessThan(423);
		expect(uncertaintyPct).toBeLessThan(0.5);
		expect(fills).toBe(3);
	});

	it("do not pass with another factor; with the rig file mended they do, without new ones", () => {
		const world = new Prover(told(420));
		world.start("meter");
		for (let i = 0; i < 3; i += 1) fill(world, 5, 446);
		expect(world.last?.passed).toBe(false);
		const { reasons } = world.last ?? { reasons: [] };
		expect(reasons[0]).toMatch(/make 446(\.\d)? pulses\/L, the rig file says 420/);
		expect(reasons[1]).toBe("rig file: meter.pulsesPerLitre: 446");
		expect(reasons[2]).toMatch(/^rig file: meter\.calibrationPct: 0\.\d+$/);
		const still = world.restarted();
		still.start("meter");
		still.pass(0.2);
		expect(still.of("proof").map(({ passed }) => passed)).toEqual([false, false]);
		const mended = world.restarted(told(446));
		mended.start("meter");
		mended.pass(0.2);
		expect(mended.last).toMatchObject({ step: "meter", passed: true });
		// They are used up: half a year later nobody passes by them again.
		mended.start("meter");
		mended.pass(0.5);
		expect(mended.now?.asks).toBe("order");
	});

	it("of another size are not taken for one; a struck one does not count", () => {
		const world = new Prover(told(420));
		world.start("meter");
		fill(world, 5, 420);
		fill(world, 5, 420);
		fill(world, 9, 420);
		expect(world.now?.say).toContain("another size: strike it");
		const [, , odd] = fillList(world.state.commission).fills;
		world.strike(odd?.fillSeq ?? 0);
		expect(world.now?.say).toContain("1 more fill");
		world.strike(odd?.fillSeq ?? 0);
		expect(world.refused).toContain("no such fill");
		fill(world, 5, 420);
		expect(world.last).toMatchObject({ step: "meter", passed: true });
		const again = world.restarted();
		const { fills } = fillList(again.state.commission);
		expect(fills.map(({ struck }) => struck)).toEqual([false, false, true, false]);
	});

	it("are forgotten with their meter", () => {
		const world = new Prover(told(420));
		world.start("meter");
		fill(world, 5, 420);
		world.end();
		world.change("meter");
		expect(fillList(world.state.commission).fills).toEqual([]);
		expect(fillList(world.restarted().state.commission).fills).toEqual([]);
	});

	it("that a trip ends are none", () => {
		const world = new Prover(told(420));
		world.start("meter");
		world.pumpForStep(5);
		world.set({ stopPressed: true });
		world.passUntil(() => world.now === null, 5);
		expect(world.last).toMatchObject({ passed: false, endedBy: "trip" });
		expect(world.of("fill")).toEqual([]);
	});
});

const fillsOf = (perLitre: readonly number[]): Fill[] =>
	perLitre.map((k, seq) => ({
		seq,
		pulses: Math.round(k * 10),
		litres: 10,
		litresUncertainty: 0.02,
		seconds: 380,
		struck: false,
		used: false,
	}));

describe("Grubbs' test", () => {
	// ISO 5725-2, Grubbs for one outlying observation, 5 %: from memory.
	it.each([
		[3, 1.155],
		[4, 1.481],
		[5, 1.715],
		[6, 1.887],
		[7, 2.02],
		[8, 2.126],
		[10, 2.29],
		[20, 2.709],
	])("of %i readings has the table's critical value", (count, limit) => {
		// A table of 1969 has its last digit from another way to reckon.
		expect(Math.abs(grubbsLimit(count) - limit)).toBeLessThan(0.001);
	});

	it("finds the fill that lies off, and none in what merely scatters", () => {
		const steady = [420.1, 419.7, 420.4, 419.9, 420.2];
		expect(oddFill(fillsOf(steady))).toBeNull();
		expect(oddFill(fillsOf([...steady, 428]))?.seq).toBe(5);
		expect(oddFill(fillsOf([420, 420, 420, 420]))).toBeNull();
		expect(oddFill(fillsOf([420, 428]))).toBeNull();
	});
});

describe("the factor's uncertainty", () => {
	it("is scatter, can and count together", () => {
		const factor = factorOf(fillsOf([418, 420, 422]));
		// s = 2, u(mean) = 2/sqrt 3 = 1.1547; can 0.2 % of 420 = 0.84; count 0.408/4200/sqrt 3: 0.024.
		expect(factor?.perLitre.value).toBeCloseTo(420, 6);
		expect(factor?.perLitre.uncertainty).toBeCloseTo(Math.hypot(1.1547, 0.84, 0.0236), 3);
		// Welch-Satterthwaite: u^4 / (1.1547^4 / 2).
		expect(factor?.degreesOfFreedom).toBeCloseTo(
			(1.1547 ** 2 + 0.84 ** 2) ** 2 / (1.1547 ** 4 / 2),
			1,
		);
		expect(factorOf(fillsOf([420, 421]))).toBeNull();
	});
});
