// What a sizing rests on besides the stated rig: each input with its spread and where it came from,
// to be printed with the answer. Imports the config's schema for its defaults, and sim's parts.

import * as z from "zod";
import type { Rig } from "../../firmware/config/rig.ts";
import { sizingSchema } from "../../firmware/config/rig-sizing.ts";
import { dieselOf, stallAmps } from "../../sim/rig-parts.ts";
import type { RigInSi } from "./rig-in-si.ts";

export const assumptionSchema = z.strictObject({
	what: z.string(),
	value: z.number(),
	unit: z.string(),
	spread: z.string().describe("one standard deviation in words; empty: taken as exact"),
	from: z.string().describe("rig file, or what stands in for it"),
});
export type Assumption = z.infer<typeof assumptionSchema>;

const FILE = "rig file";
const DEFAULT = "default, common practice, no source";
const KIND = "usual for the kind, common practice, no source";

const preset = sizingSchema.parse(undefined);
type SizingKey = keyof typeof preset;

export function assumptionsOf(si: RigInSi): Assumption[] {
	const { rig, curve } = si;
	const { fuel, pump, sizing, element, supply } = rig;
	const { uncertainty } = sizing;
	const diesel = dieselOf(rig);
	const stated = (value: unknown, otherwise: string) => (value === undefined ? otherwise : FILE);
	const fuelFrom = (value: unknown) =>
		fuel.grade === undefined ? stated(value, KIND) : `middle of the grade ${fuel.grade}`;
	// A value that equals the default may be stated all the same: nothing tells them apart.
	const sizingFrom = (key: SizingKey) => (sizing[key] === preset[key] ? DEFAULT : FILE);
	const spreadFrom = (key: keyof typeof preset.uncertainty) =>
		uncertainty[key] === preset.uncertainty[key] ? DEFAULT : FILE;
	const pct = (value: number) => `${value} %`;
	const row = (
		what: string,
		value: number,
		unit: string,
		spread: string,
		from: string,
	): Assumption => ({ what, value: Number(value.toPrecision(4)), unit, spread, from });
	return [
		row("coldest fuel", sizing.coldC, "°C", "", sizingFrom("coldC")),
		row("warmest fuel", sizing.warmC, "°C", "", sizingFrom("warmC")),
		row("tanks filled to", sizing.fillPct, "%", "", sizingFrom("fillPct")),
		row(
			"viscosity at 40 °C",
			diesel.viscosityAt40Mm2s,
			"mm²/s",
			pct(uncertainty.viscosityPct),
			fuelFrom(fuel.viscosity40Mm2s),
		),
		row("density at 15 °C", diesel.density15KgM3, "kg/m³", "", fuelFrom(fuel.density15KgM3)),
		row("pump's free flow", pump.freeFlowLph, "L/h", pct(uncertainty.freeFlowPct), FILE),
		row(
			"pump's dead head",
			curve.deadHeadPa / 1e3,
			"kPa",
			pct(uncertainty.deadHeadPct),
			stated(pump.deadHeadKpa, KIND),
		),
		row("suction on fuel", curve.wetSuctionPa / 1e3, "kPa", "", stated(pump.wetSuctionKpa, KIND)),
		row("suction on air", curve.drySuctionPa / 1e3, "kPa", "", stated(pump.drySuctionKpa, KIND)),
		row("pump's height", si.steady.riseM + si.clearanceM, "m", "", heightFrom(rig)),
		row("error of the lift", 0, "m", `${uncertainty.liftMm / 1e3} m`, spreadFrom("liftMm")),
		row("clean element", element.cleanKpa, "kPa", pct(uncertainty.cleanRestrictionPct), FILE),
		row("element's dirt", element.dirtToChangeGrams, "g", pct(uncertainty.dirtCapacityPct), FILE),
		row(
			"dirt in the fuel",
			sizing.dirtMgPerLitre,
			"mg/L",
			pct(uncertainty.dirtLoadPct),
			sizingFrom("dirtMgPerLitre"),
		),
		row(
			"mixing factor, kept in 0.3 to 1",
			sizing.mixingFactor,
			"",
			pct(uncertainty.mixingFactorPct),
			sizingFrom("mixingFactor"),
		),
		row("drops to settle", sizing.settleDropMicron, "µm", "", sizingFrom("settleDropMicron")),
		row("air comes out at", sizing.airReleaseKpa, "kPa", "", sizingFrom("airReleaseKpa")),
		row("suction hose stands", sizing.hoseCollapseKpa, "kPa", "", sizingFrom("hoseCollapseKpa")),
		row("height above the sea", sizing.altitudeM, "m", "", sizingFrom("altitudeM")),
		row("battery at rest", si.steady.restVolts, "V", "", stated(sizing.batteryVolts, KIND)),
		row("battery", supply.batteryAh, "Ah", pct(uncertainty.batteryPct), FILE),
		row("stalled motor", stallAmps(rig), "A", "", stated(pump.stallAmps, KIND)),
		row("session by the clock", sizing.sessionHours, "h", "", sizingFrom("sessionHours")),
	];
}

const heightFrom = ({ pump }: Rig): string =>
	pump.heightMm === undefined ? "as high as the tube's top" : FILE;
