// What sizing stands on, against published values and against the rig model as it runs: the suction
// row's vacuum, flow and vacuum of the running rig, and the time in which it primes.

import { describe, expect, it } from "vitest";
import type { Rig } from "../../firmware/config/rig.ts";
import { AS_STATED } from "../../host/sizing/draws.ts";
import { rigInSi } from "../../host/sizing/rig-in-si.ts";
import { TankCase, type Worked } from "../../host/sizing/work-out.ts";
import { pumpKinds } from "../../sim/physics/pump.ts";
import { SteadyLine } from "../../sim/physics/steady-point.ts";
import type { RigModel } from "../../sim/rig.ts";
import { DIRT } from "../../sim/species.ts";
import { CLEAN, flowLph, modelOf, pump, tankOf } from "../stories/rig-world.ts";
import { exampleRig } from "../stories/world.ts";
import { row } from "./rows.ts";

const LPH = 3.6e6;

describe("row suction-assembled-1: Bernoulli with Hagen-Poiseuille and K losses", () => {
	const { input, expected } = row("suction-assembled-1");
	const one = (key: string) => input(key)[0] ?? Number.NaN;
	const line = new SteadyLine({
		tube: {
			lengthM: one("dip_tube_L_m"),
			boreM: one("dip_tube_bore_mm") / 1e3,
			roughnessM: 0,
			lossK: one("K_inlet"),
		},
		hose: {
			lengthM: one("hose_L_m"),
			boreM: one("hose_bore_mm") / 1e3,
			roughnessM: 0,
			lossK: one("K_bends_total_on_hose"),
		},
		returns: { lengthM: 0.1, boreM: 0.1, roughnessM: 0, lossK: 0 },
		riseM: one("lift_m"),
		kind: pumpKinds.vane,
		wetSuctionPa: 55e3,
		atmospherePa: 101_325,
		ratedPas: one("mu_Pa_s"),
		ratedVolts: 12,
		runningAmps: 2,
		restVolts: 12,
		supplyOhm: 0,
	});
	const flowM3s = one("flow_L_h") / LPH;
	const wanted = expected("vacuum_friction_plus_lift_Pa")[0] ?? Number.NaN;
	const conditions = {
		liquid: { densityKgM3: one("rho_kg_m3"), dynamicPas: one("mu_Pa_s") },
		depthM: 0,
		freeFlowM3s: flowM3s,
		deadHeadPa: 1e9,
		elementPaPerM3s: 0,
	};

	it("the vacuum that a flow asks for", () => {
		const { vacuum } = line.demandPa(conditions, flowM3s);
		expect(Math.abs(vacuum / wanted - 1)).toBeLessThan(1e-5);
	});

	it("the steady point draws that vacuum at that flow, from a pump that nothing slows", () => {
		const point = line.solve(conditions);
		// The pump's own line falls by 12 kPa of a million.
		expect(Math.abs(point.flowM3s / flowM3s - 1)).toBeLessThan(2e-5);
		expect(Math.abs(point.vacuumPa / wanted - 1)).toBeLessThan(4e-5);
	});
});

interface Case {
	readonly what: string;
	readonly celsius: number;
	readonly fuelLitres: number;
	readonly change?: (rig: Rig) => Rig;
	readonly batteryVolts?: number;
	readonly altitudeM?: number;
}

const withHose = (lengthMm: number, boreMm: number) => (rig: Rig) => ({
	...rig,
	hose: { ...rig.hose, lengthMm, boreMm },
});
const cases: readonly Case[] = [
	{ what: "the example, warm", celsius: 25, fuelLitres: 200 },
	{ what: "the example, cold and low", celsius: 2, fuelLitres: 40 },
	{ what: "a long hose", celsius: 2, fuelLitres: 180, change: withHose(8_000, 8) },
	{ what: "a wide hose", celsius: 10, fuelLitres: 180, change: withHose(2_400, 16) },
	{
		what: "a gear pump on a weak battery",
		celsius: 5,
		fuelLitres: 120,
		batteryVolts: 11.9,
		change: (rig) => ({ ...rig, pump: { ...rig.pump, kind: "gear" } }),
	},
	{
		what: "a pulse pump in the mountains",
		celsius: 15,
		fuelLitres: 150,
		altitudeM: 1_200,
		change: (rig) => ({
			...rig,
			pump: { ...rig.pump, kind: "solenoid-pulse", deadHeadKpa: 45, wetSuctionKpa: 30 },
		}),
	},
	{
		what: "a suction limit that throttles",
		celsius: 2,
		fuelLitres: 100,
		change: (rig) => ({
			...withHose(4_000, 6)(rig),
			pump: { ...rig.pump, wetSuctionKpa: 30 },
		}),
	},
];

/** The rig as sizing sees it, under the same conditions as the model. */
function sized(model: RigModel, rig: Rig, { celsius, batteryVolts, altitudeM }: Case): Worked {
	const fillPct = (100 * tankOf(model).volumeM3) / tankOf(model).capacityM3;
	const sizing = {
		...rig.sizing,
		fillPct,
		batteryVolts: batteryVolts ?? 12.7,
		altitudeM: altitudeM ?? 0,
	};
	const port = rig.tanks.find(({ name }) => name === "port");
	if (port === undefined) throw new Error("the example has no tank port");
	return new TankCase(rigInSi({ ...rig, sizing }), port, celsius).workOut(AS_STATED);
}

function started(one: Case): { rig: Rig; model: RigModel } {
	const { celsius, fuelLitres, batteryVolts = 12.7, altitudeM = 0, change } = one;
	const rig = (change ?? ((same) => same))(exampleRig());
	const more = { airC: celsius, batteryVolts, altitudeM };
	return { rig, model: modelOf({ ...CLEAN, fuelLitres }, more, rig) };
}

describe("flow and vacuum are the running rig model's within 0.5 %", () => {
	it.each(cases)("$what, element clean", (one) => {
		const { rig, model } = started(one);
		pump(model, 180);
		const { figures } = sized(model, rig, one);
		expect(flowLph(model)).toBeGreaterThan(10);
		expect(Math.abs(figures.flowCleanLph / flowLph(model) - 1)).toBeLessThan(0.005);
		expect(Math.abs(figures.vacuumCleanKpa / model.path.vacuumKpa - 1)).toBeLessThan(0.005);
		expect(Math.abs(figures.amps / model.motor.amps - 1)).toBeLessThan(0.005);
	});

	it.each(cases)("$what, element at change-out", (one) => {
		const { rig, model } = started(one);
		model.path.element.holds[DIRT] = rig.element.dirtToChangeGrams / 1e3;
		pump(model, 180);
		const { figures } = sized(model, rig, one);
		expect(Math.abs(figures.flowChangeLph / flowLph(model) - 1)).toBeLessThan(0.005);
		expect(Math.abs(figures.vacuumChangeKpa / model.path.vacuumKpa - 1)).toBeLessThan(0.005);
	});
});

describe("the priming time is the running rig model's within 6 %", () => {
	const priming: readonly Case[] = [
		...cases.slice(0, 4),
		{
			what: "a pump that hardly lifts it",
			celsius: 25,
			fuelLitres: 40,
			change: (rig) => ({
				...withHose(8_000, 12)(rig),
				pump: { ...rig.pump, drySuctionKpa: 12 },
			}),
		},
	];
	it.each(priming)("$what", (one) => {
		const { rig, model } = started(one);
		const { figures } = sized(model, rig, one);
		const { line } = model.path;
		let seconds = 0;
		pump(model, 120, {
			stepS: 0.02,
			each: () => {
				// The motor's own seconds: the dead-man closes a little after the first beat.
				if (seconds === 0 && line.liquidM3 >= 0.999 * line.capacityM3) {
					seconds = model.motor.onSeconds;
				}
			},
		});
		expect(seconds).toBeGreaterThan(1);
		expect(Math.abs(figures.primingSeconds / seconds - 1)).toBeLessThan(0.06);
	});

	it("neither ever primes where the column outweighs the pump's suction on air", () => {
		const one: Case = {
			what: "",
			celsius: 15,
			fuelLitres: 180,
			change: (rig) => ({ ...rig, pump: { ...rig.pump, drySuctionKpa: 4 } }),
		};
		const { rig, model } = started(one);
		expect(sized(model, rig, one).figures.primingSeconds).toBe(Number.POSITIVE_INFINITY);
		pump(model, 120);
		expect(flowLph(model)).toBeLessThan(1);
	});
});
