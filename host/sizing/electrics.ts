// Cable and fuse between battery and pump at a current: drop, the smallest conductors that would
// do, and the blade fuse. Imports physics. Conductor: flexible, tinned, 20 °C, insulation of 70 °C
// (the usual boat cable, common practice); tables and their sources stand in cable.ts, ampacity.ts.

import * as z from "zod";
import type { Rig } from "../../firmware/config/rig.ts";
import { fuseFor, isoAmps } from "../../sim/physics/ampacity.ts";
import {
	conductorOhmPerKm,
	ohmPerM,
	runDropVolts,
	smallestConductorMm2,
} from "../../sim/physics/cable.ts";
import { stallAmps } from "../../sim/rig-parts.ts";
import { rounded } from "./figures.ts";

const BUILD = "class5Tinned";
const INSULATION_C = 70;
/** What strands add to the resistance of solid copper, for a size that is in no table. */
const STRANDED = 1.04;
/** Sizes of the ampacity table, mm²: the one at or below a cable's own is safe for it. */
const AMPACITY_MM2 = [0.75, 1, 1.5, 2.5, 4, 6, 10] as const;

const size = z.number().nullable().describe("smallest standard conductor, mm²; null: none does");

export const electricsSchema = z.strictObject({
	amps: z.number().describe("largest steady current of all cases, A"),
	cableMm2: z.number().describe("conductor of the rig file, mm²"),
	dropVolts: z.number().describe("lost in it there and back, V"),
	dropPct: z.number().describe("the same as a share of the rated voltage, %"),
	mm2Under3Pct: size,
	mm2Under10Pct: size,
	ampacityA: z.number().nullable().describe("what the cable carries without end, A"),
	fuseA: z.number().describe("fuse of the rig file, A"),
	fuseFitA: z.number().nullable().describe("smallest blade fuse that starts and guards, A"),
});
export type Electrics = z.infer<typeof electricsSchema>;

export function electricsOf(rig: Rig, amps: number): Electrics {
	const { cableMetres, cableMm2, fuseA } = rig.supply;
	const supplyVolts = rig.pump.ratedVolts;
	const ohmPerKm = conductorOhmPerKm(cableMm2, BUILD) ?? STRANDED * 1e3 * ohmPerM(cableMm2 * 1e-6);
	const dropVolts = runDropVolts(ohmPerKm, cableMetres, amps);
	const run = { amps, oneWayM: cableMetres, supplyVolts, build: BUILD } as const;
	const table = AMPACITY_MM2.findLast((mm2) => mm2 <= cableMm2);
	const ampacityA = table === undefined ? null : isoAmps(table, INSULATION_C);
	const need = { runningAmps: amps, startAmps: stallAmps(rig), ampacityAmps: ampacityA ?? 0 };
	return {
		amps: rounded(amps) ?? 0,
		cableMm2,
		dropVolts: rounded(dropVolts) ?? 0,
		dropPct: rounded((100 * dropVolts) / supplyVolts) ?? 0,
		mm2Under3Pct: smallestConductorMm2({ ...run, dropShareMax: 0.03 }),
		mm2Under10Pct: smallestConductorMm2({ ...run, dropShareMax: 0.1 }),
		ampacityA,
		fuseA,
		fuseFitA: fuseFor(need),
	};
}
