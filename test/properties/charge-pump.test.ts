// One half of the dead-man's charge pump, as the equations of its parts have it: what it does for
// certain, and the bench's model at its first edge. The whole board is held to its netlist in
// test/hardware.

import { describe, expect, it } from "vitest";
import { DEAD_MAN, DeadMan } from "../../sim/dead-man.ts";
import {
	advancePump,
	type ChargePump,
	DISCHARGED,
	type Diode,
	diodeAmps,
	release,
	singleEdge,
} from "../../sim/physics/charge-pump.ts";

/** The two diodes of the reference rows: silicon, and one with a Schottky's drop and leak. */
const SILICON: Diode = { saturationAmps: 2.52e-9, ideality: 1.752, seriesOhm: 0.568 };
const SCHOTTKY: Diode = { saturationAmps: 1e-6, ideality: 1.05, seriesOhm: 0 };

const { driveVolts, c1Farad, c2Farad, bleedOhm } = DEAD_MAN;
const own = (diode: Diode): ChargePump => ({ sourceOhm: 100, c1Farad, c2Farad, bleedOhm, diode });

const BEAT_HZ = 5;
const thresholdVolts = DEAD_MAN.openVolts;
const beat = { driveVolts, hz: BEAT_HZ, duty: 0.5, pulses: 60, stuckHigh: false, thresholdVolts };

describe("the charge pump's circuit", () => {
	it("bleeds a charged reservoir by exp(-t/RC) when the diodes do not conduct", () => {
		// Otherwise the diodes' reverse current would show: here it is nothing to the bleed.
		const tight = own({ ...SILICON, saturationAmps: 1e-13 });
		const from = { c1Volts: 0, gateVolts: 3 };
		const { gateVolts } = advancePump(tight, from, 0, 0.5);
		expect(gateVolts / (3 * Math.exp(-0.5 / (bleedOhm * c2Farad)))).toBeCloseTo(1, 3);
	});

	it("has diodes whose series resistance and junction share the voltage", () => {
		const amps = diodeAmps(SILICON, 0.9);
		const junction = diodeAmps({ ...SILICON, seriesOhm: 0 }, 0.9 - amps * SILICON.seriesOhm);
		expect(junction / amps).toBeCloseTo(1, 6);
		expect(diodeAmps(SILICON, -5)).toBeCloseTo(-SILICON.saturationAmps, 15);
	});

	it("lets go 0.3 to 1.5 s after the last edge, at whichever level the drive is stuck", () => {
		for (const stuckHigh of [false, true]) {
			const { releaseS } = release(own(SILICON), { ...beat, stuckHigh });
			expect(releaseS).toBeGreaterThan(0.3);
			expect(releaseS).toBeLessThan(1.5);
		}
	});

	it("stays at rest without a beat", () => {
		const { gateVolts } = advancePump(own(SCHOTTKY), DISCHARGED, 0, 1);
		expect(Math.abs(gateVolts)).toBeLessThan(1e-6);
	});
});

it.each([
	["silicon", SILICON],
	["Schottky", SCHOTTKY],
])("one edge alone does not close the contact, with %s diodes", (_, diode) => {
	const { gatePeakVolts } = singleEdge(own(diode), driveVolts, DEAD_MAN.closeVolts);
	expect(gatePeakVolts).toBeLessThan(DEAD_MAN.closeVolts);
	const deadMan = new DeadMan();
	deadMan.drive(true);
	expect(deadMan.holds).toBe(false);
	// The model's diodes conduct no longer than the edge: it never stands higher than the circuit.
	expect(deadMan.reservoirVolts / gatePeakVolts).toBeLessThan(1);
	expect(deadMan.reservoirVolts / gatePeakVolts).toBeGreaterThan(0.85);
});
