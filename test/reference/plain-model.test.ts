// The plain rig model and the sensors' arithmetic against published formulas. Each source stands in
// its row of reference.json and beside the check.

import { describe, expect, it } from "vitest";
import type { Rig } from "../../firmware/config/rig.ts";
import { gaugeKpa } from "../../firmware/sense/sense.ts";
import { farEndOhm } from "../../firmware/sense/supervised-loop.ts";
import { DEAD_MAN, edgeRiseVolts } from "../../sim/dead-man.ts";
import { RigModel } from "../../sim/rig.ts";
import { loopShare } from "../../sim/signals.ts";
import { exampleRig, pins } from "../stories/world.ts";
import { row } from "./rows.ts";

/** Dirt left in a mixed tank after each of the turnovers, as a share, by the rig model. */
function dirtLeft(efficiency: number, turnovers: readonly number[]): number[] {
	const example = exampleRig();
	const rig: Rig = { ...example, element: { ...example.element, dirtEfficiency: efficiency } };
	const port = { fuelLitres: 20, freeWaterLitres: 0, dispersedWaterPpm: 0, dirtGrams: 100 };
	const model = new RigModel(rig, {
		tanks: new Map([["port", port]]),
		tubeTank: "port",
		returnTank: "port",
		airC: 15,
		batteryVolts: 12.7,
		waterOhm: 20_000,
		meterErrorPct: 0,
	});
	const tank = model.path.tanks.get("port");
	if (tank === undefined) throw new Error("no tank");
	// Line filled first: from then on the tank's volume stays.
	while (model.path.truth.litresThroughPump === 0) model.path.step(0.1, true);
	const litres = tank.litres;
	const grams = tank.dirtGrams;
	const from = model.path.truth.litresThroughPump;
	return turnovers.map((count) => {
		while (model.path.truth.litresThroughPump - from < count * litres) model.path.step(0.1, true);
		return tank.dirtGrams / grams;
	});
}

describe("dilution of a mixed tank: C/C0 = exp(-eta Q t / V) (ideal mixed reactor)", () => {
	it.each(["turnover-eta100", "turnover-eta50"])("row %s", (id) => {
		const { input, expected, source } = row(id);
		expect(source).toContain("exp(-eta Q t/V)");
		const found = dirtLeft(input("efficiency")[0] ?? 0, input("turnovers_Qt_over_V"));
		expected("mixed_C_over_C0").forEach((value, i) => {
			expect((found[i] ?? 0) / value).toBeCloseTo(1, 2);
		});
	});
});

describe("sensors", () => {
	it("ratiometric 10 % to 90 % transfer: row pressure-ratiometric", () => {
		const { input, expected } = row("pressure-ratiometric");
		const channel = pins.channels.vacuum;
		if (channel?.kind !== "analog") throw new Error("no vacuum channel");
		const { zeroShare = 0, kpaPerShare = 0 } = channel;
		input("code").forEach((code, i) => {
			const kpa = gaugeKpa(code, pins.adc.bits, zeroShare, kpaPerShare);
			expect(kpa).toBeCloseTo(expected("kPa")[i] ?? Number.NaN, 4);
		});
	});

	it.each(["stop-loop", "bowl-probe"])(
		"%s: four voltages by Ohm's law, each told apart",
		(name) => {
			const channel = pins.channels[name];
			if (channel?.kind !== "analog" || channel.loop === undefined) throw new Error("no loop");
			const { loop } = channel;
			const read = (share: number) => {
				const raw = Math.min(1023, Math.floor(share * 1024));
				return farEndOhm({ raw, ageMs: 0 }, loop, pins.adc);
			};
			// From 100 Ω of sea water to the setpoint's upper end; the divider's own resolution is 3 %.
			for (const ohm of [100, 5_000, 20_000, 100_000, 300_000, 500_000]) {
				if (ohm > loop.endOfLineOhm / 2) continue;
				const found = read(loopShare(loop, ohm));
				expect(typeof found).toBe("number");
				expect(Math.abs(Number(found) - ohm)).toBeLessThan(0.03 * ohm + 0.006 * loop.pullUpOhm);
			}
			expect(read(loopShare(loop, Number.POSITIVE_INFINITY))).toBe(Number.POSITIVE_INFINITY);
			expect(read(0)).toBe("short");
			expect(read(1)).toBe("open");
		},
	);

	it("an end-of-line resistor is at least twice the probe's largest threshold", () => {
		const channel = pins.channels["bowl-probe"];
		const loop = channel?.kind === "analog" ? channel.loop : undefined;
		expect(loop?.endOfLineOhm).toBeGreaterThanOrEqual(2 * 500_000);
	});
});

describe("the dead-man's charge pump", () => {
	it("first edge by charge sharing V = (V_drive - V_F) C1/(C1+C2): row deadman-ideal", () => {
		const { input, expected } = row("deadman-ideal");
		input("C1").forEach((c1, i) => {
			const parts = {
				...DEAD_MAN,
				driveVolts: input("V_drive")[0] ?? 0,
				// The row's drop is of both diodes together.
				diodeVolts: (input("VF")[0] ?? 0) / 2,
				c1Farad: c1,
				c2Farad: input("C2")[i] ?? 0,
			};
			expect(edgeRiseVolts(parts, 0)).toBeCloseTo(expected("first_edge_V")[i] ?? Number.NaN, 6);
		});
	});
});
