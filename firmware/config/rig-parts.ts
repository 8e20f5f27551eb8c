// The parts of a rig as its owner describes them, one schema each; rig.ts puts them together. Keys
// carry units. What a maker's sheet often leaves out is optional: the simulated rig then takes the
// usual figure for the kind.

import * as z from "zod";
import { optionalSensors } from "./optional-sensors.ts";

const between = (min: number, max: number, words: string) =>
	z.number().min(min).max(max).describe(words);

export const fuelSchema = z
	.strictObject({
		grade: z
			.enum([
				...(["en590-a", "en590-b", "en590-c", "en590-d", "en590-e", "en590-f"] as const),
				...(["en590-0", "en590-1", "en590-2", "en590-3", "en590-4"] as const),
				...(["d975-1d", "d975-2d"] as const),
			])
			.optional()
			.describe("a standard's grade, taken in the middle of its limits"),
		density15KgM3: between(780, 900, "density at 15 °C, kg/m³").optional(),
		viscosity40Mm2s: between(1, 8, "kinematic viscosity at 40 °C, mm²/s").optional(),
		cloudPointC: between(-50, 25, "where wax begins to fall out, °C").optional(),
		famePct: between(0, 30, "share of FAME, % of the volume").default(7),
	})
	.prefault({});

const dipPoint = z.strictObject({
	dipMm: between(0, 5_000, "dip, mm"),
	litres: between(0, 20_000, "what the tank holds at that dip, L"),
});

export const tankSchema = z.strictObject({
	name: z.string().regex(/^[a-z][a-z0-9-]{0,39}$/, "at most 40 small letters, digits and dashes"),
	volumeLitres: between(5, 20_000, "what the tank holds, L"),
	depthMm: between(100, 5_000, "inside depth at the pick-up, mm"),
	fillerMm: between(0, 5_000, "from the tank's top up to the filler's mouth, mm").default(0),
	shape: z
		.enum(["rectangular", "wedge", "horizontal-cylinder", "dip-table"])
		.default("rectangular"),
	widthMm: between(100, 10_000, "athwart the boat, mm").optional(),
	floorFallMm: between(0, 500, "how much the floor falls towards the pick-up, mm").default(10),
	dipTable: z.array(dipPoint).min(2).max(200).optional().describe("rising, from 0 to the depth"),
});

export const tubeSchema = z.strictObject({
	lengthMm: between(100, 5_000, "dip tube from pick-up to hose, mm"),
	boreMm: between(3, 50, "inside diameter, mm"),
	clearanceMm: between(0, 200, "from the tank's floor to the pick-up, mm").default(4),
});

export const hoseSchema = z.strictObject({
	lengthMm: between(100, 30_000, "hose from end to end, mm"),
	boreMm: between(3, 50, "inside diameter, mm"),
	bends: z.int().min(0).max(50).default(2).describe("bends of about 90°"),
});

export const bowlSchema = z.strictObject({
	volumeMl: between(50, 10_000, "everything the bowl holds, mL"),
	sumpToProbeMl: between(10, 9_000, "water that reaches the probe, mL"),
	probeToCarryoverMl: between(10, 9_000, "water from the probe up to the element, mL"),
	diameterMm: between(20, 400, "inside diameter, mm").default(90),
});

const betaPoint = z.strictObject({
	micron: between(1, 100, "particle size, µm(c)"),
	beta: between(1, 100_000, "filtration ratio at that size and larger"),
});

export const elementSchema = z.strictObject({
	ratingMicron: between(1, 60, "particle size the maker rates it for, µm"),
	cleanKpa: between(0.1, 30, "restriction of a clean element at free flow, kPa"),
	changeAtKpa: between(1, 60, "restriction at which it is changed, kPa"),
	dirtToChangeGrams: between(1, 5_000, "dirt it holds by then, g"),
	dirtEfficiency: between(0, 0.9999, "share of dirt of its rated size held back in one pass"),
	waterEfficiency: between(0, 0.9999, "share of fine dispersed water held back in one pass"),
	betas: z.array(betaPoint).min(1).max(20).optional().describe("tested ratios, rising in size"),
	collapseKpa: between(20, 1_000, "pressure difference that it stands, kPa").default(100),
});

export const pumpSchema = z.strictObject({
	kind: z.enum(["diaphragm", "vane", "gear", "solenoid-pulse"]),
	freeFlowLph: between(10, 1_000, "flow without lift or element, L/h"),
	measuredLph: between(1, 1_000, "flow by bucket and stopwatch, clean element, L/h").optional(),
	measuredPct: between(0.1, 30, "standard uncertainty of that, %").default(3),
	deadHeadKpa: between(5, 1_000, "pressure at which no flow is left, kPa").optional(),
	wetSuctionKpa: between(2, 90, "greatest vacuum on fuel, kPa").optional(),
	drySuctionKpa: between(1, 90, "greatest vacuum on air, kPa").optional(),
	heightMm: between(0, 5_000, "of its inlet above the tank's floor, mm").optional(),
	bypassKpa: between(5, 500, "pressure at which its bypass opens, kPa").optional(),
	pressureSwitchKpa: between(5, 500, "pressure at which its switch stops it, kPa").optional(),
	runningAmps: between(0.3, 15, "current at free flow and rated volts, A"),
	stallAmps: between(1, 150, "current of the stalled motor, A").optional(),
	ratedVolts: z.union([z.literal(12), z.literal(24)]),
	runMinutesMax: between(1, 235, "rated longest run, min"),
	restMinutes: between(0, 240, "rest after a longest run, min"),
	dryRunSecondsMax: between(5, 55, "longest dry run the maker allows, s"),
});

export const meterSchema = z.strictObject({
	kind: z.enum(["positive-displacement", "turbine"]),
	pulsesPerLitre: between(1, 20_000, "K-factor of the flow meter, pulses/L"),
	calibrationPct: between(
		0.01,
		20,
		"standard uncertainty of a K-factor by calibration, %",
	).optional(),
});

export const supplySchema = z.strictObject({
	batteryAh: between(5, 2_000, "rated capacity of the battery that feeds the pump, Ah"),
	chemistry: z.enum(["flooded", "absorbed", "iron-phosphate"]).default("flooded"),
	internalOhm: between(0.001, 1, "battery and cable resistance as the pump sees it, Ω"),
	cableMetres: between(0.2, 50, "one way from battery to pump, m").default(4),
	cableMm2: between(0.5, 50, "conductor, mm²").default(1.5),
	fuseA: between(1, 40, "fuse at the battery, A").default(5),
});

/** Loaded only where `lees control` is told to use it. */
export const boardSchema = z
	.strictObject({
		plugin: z.string().min(1).describe("package, or path from this file's folder"),
		options: z.record(z.string(), z.unknown()).default({}).describe("handed to it as they are"),
	})
	.describe("an io plugin of johnny-five in place of a board, for `--board plugin`");

/** Names of the pin map's channels. */
export const sensorsSchema = z
	.array(z.enum(optionalSensors))
	.max(optionalSensors.length)
	.default([])
	.describe("channels that are fitted beside probe, meter, stop loop and current monitor");
