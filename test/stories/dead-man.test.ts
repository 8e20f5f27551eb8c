// The dead-man's model by itself: what holds it, what does not, how soon it lets go. The limits are
// those that the circuit must keep: 0.7 s of gap, 1.5 s to release, no closing on two edges.

import { describe, expect, it } from "vitest";
import { DeadMan, RUN_S_MAX } from "../../sim/dead-man.ts";

const TICK_S = 0.1;

/** Beats for so many ticks; returns the circuit and the level it ended on. */
function beating(ticks: number): { circuit: DeadMan; level: boolean } {
	const circuit = new DeadMan();
	let level = false;
	for (let i = 0; i < ticks; i += 1) {
		level = !level;
		circuit.drive(level);
		circuit.step(TICK_S);
	}
	return { circuit, level };
}

function releaseS(circuit: DeadMan): number {
	let seconds = 0;
	while (circuit.holds && seconds < 10) {
		circuit.step(0.01);
		seconds += 0.01;
	}
	return seconds;
}

describe("the dead-man", () => {
	it("holds at one level change a tick", () => {
		const { circuit } = beating(100);
		expect(circuit.holds).toBe(true);
		expect(circuit.reservoirVolts).toBeGreaterThan(2.2);
	});

	it.each([100, 101])("lets go within 1.5 s of the last edge, ended %s edges in", (ticks) => {
		const { circuit } = beating(ticks);
		const seconds = releaseS(circuit);
		expect(seconds).toBeGreaterThan(0.3);
		expect(seconds).toBeLessThan(1.5);
	});

	it.each([0.3, 0.7])("holds through one gap of %s s", (gapS) => {
		const { circuit, level } = beating(100);
		circuit.step(gapS);
		expect(circuit.holds).toBe(true);
		circuit.drive(!level);
		circuit.step(TICK_S);
		expect(circuit.holds).toBe(true);
	});

	it("is not closed by any two edges, nor by a constant level", () => {
		const { circuit } = beating(2);
		expect(circuit.holds).toBe(false);
		const high = new DeadMan();
		high.drive(true);
		for (let i = 0; i < 50; i += 1) {
			high.drive(true);
			high.step(TICK_S);
			expect(high.holds).toBe(false);
		}
	});
});

describe("the run timer behind it", () => {
	const HOURS = 3_600;

	/** Beats for so many seconds; returns how long it held. */
	const heldS = (circuit: DeadMan, seconds: number) => {
		let held = 0;
		for (let i = 0; i < seconds * 10; i += 1) {
			circuit.drive(i % 2 === 0);
			circuit.step(TICK_S);
			if (circuit.holds) held += TICK_S;
		}
		return held;
	};

	it("opens after a little over four hours of edges, and stays open while they go on", () => {
		const circuit = new DeadMan();
		expect(heldS(circuit, 5 * HOURS) / RUN_S_MAX).toBeCloseTo(1, 3);
		expect(circuit.holds).toBe(false);
		expect(heldS(circuit, HOURS)).toBe(0);
	});

	it("lets a new run begin once the beat has ended", () => {
		const circuit = new DeadMan();
		heldS(circuit, 5 * HOURS);
		for (let i = 0; i < 20; i += 1) circuit.step(TICK_S);
		expect(heldS(circuit, 60)).toBeGreaterThan(58);
	});

	it("never opens within the longest run that a rig file allows", () => {
		expect(heldS(new DeadMan(), 235 * 60)).toBeGreaterThan(235 * 60 - 2);
	});
});

describe("a forged beat", () => {
	it.each([0.1, 0.01])("holds K2 with nothing driven, in steps of %s s", (stepS) => {
		const circuit = new DeadMan();
		circuit.forging = true;
		for (let s = 0; s < 60; s += stepS) {
			circuit.drive(false);
			circuit.step(stepS);
		}
		expect(circuit.holds).toBe(true);
		circuit.forging = false;
		expect(releaseS(circuit)).toBeLessThan(1.5);
	});

	it("is ended by the run timer alone", () => {
		const circuit = new DeadMan();
		circuit.forging = true;
		let held = 0;
		for (let i = 0; i < 6 * 36_000; i += 1) {
			circuit.step(TICK_S);
			if (circuit.holds) held += TICK_S;
		}
		expect(held / RUN_S_MAX).toBeCloseTo(1, 3);
	});
});
