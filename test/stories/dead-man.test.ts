// The dead-man's model by itself: what holds it, what does not, how soon it lets go. The limits are
// those that the circuit must keep: 300 ms of gap, 1.5 s to release, no closing on two edges.

import { describe, expect, it } from "vitest";
import { DeadMan } from "../../sim/dead-man.ts";

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

	it("holds through one gap of 300 ms", () => {
		const { circuit, level } = beating(100);
		circuit.step(0.3);
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
