// The rig file: what one portable rig is made of, as its owner describes it. Keys carry units.
// Imports: the setpoint table and the interlock's limits, so that a contradiction is refused here.

import { z } from "zod";
import { setpointsSchema } from "../cycle/setpoints.ts";
import { INTERLOCK } from "../interlock.ts";
import { readDocument } from "./document.ts";
import { InputError } from "./input-error.ts";

/** Measured without loss to 600 Hz over the board's serial line, with four analog channels. */
const PULSE_HZ_MAX = 500;

const between = (min: number, max: number, words: string) =>
	z.number().min(min).max(max).describe(words);

const tankSchema = z.strictObject({
	name: z.string().regex(/^[a-z][a-z0-9-]{0,39}$/, "at most 40 small letters, digits and dashes"),
	volumeLitres: between(5, 20_000, "what the tank holds, L"),
	depthMm: between(100, 5_000, "inside depth at the pick-up, mm"),
});

const bowlSchema = z.strictObject({
	volumeMl: between(50, 10_000, "everything the bowl holds, mL"),
	sumpToProbeMl: between(10, 9_000, "water that reaches the probe, mL"),
	probeToCarryoverMl: between(10, 9_000, "water from the probe up to the element, mL"),
});

const elementSchema = z.strictObject({
	ratingMicron: between(1, 60, "particle size the maker rates it for, µm"),
	cleanKpa: between(0.1, 30, "restriction of a clean element at free flow, kPa"),
	changeAtKpa: between(1, 60, "restriction at which it is changed, kPa"),
	dirtToChangeGrams: between(1, 5_000, "dirt it holds by then, g"),
	dirtEfficiency: between(0, 1, "share of suspended dirt held back in one pass"),
	waterEfficiency: between(0, 1, "share of dispersed water held back in one pass"),
});

const pumpSchema = z.strictObject({
	kind: z.enum(["diaphragm", "vane", "gear", "solenoid-pulse"]),
	freeFlowLph: between(10, 1_000, "flow without lift or element, L/h"),
	runningAmps: between(0.3, 15, "current at free flow and rated volts, A"),
	ratedVolts: z.union([z.literal(12), z.literal(24)]),
	runMinutesMax: between(1, 235, "rated longest run, min"),
	restMinutes: between(0, 240, "rest after a longest run, min"),
	dryRunSecondsMax: between(5, 55, "longest dry run the maker allows, s"),
});

const rigSchema = z.strictObject({
	rig: z.string().min(1).max(80).describe("name of the rig"),
	invented: z.boolean().default(false).describe("true for demonstration data"),
	tanks: z.array(tankSchema).min(1).max(12),
	tube: z.strictObject({
		lengthMm: between(100, 5_000, "dip tube from pick-up to hose, mm"),
		boreMm: between(3, 50, "inside diameter, mm"),
	}),
	hose: z.strictObject({
		lengthMm: between(100, 30_000, "suction hose from tube to bowl, mm"),
		boreMm: between(3, 50, "inside diameter, mm"),
	}),
	bowl: bowlSchema,
	element: elementSchema,
	pump: pumpSchema,
	meter: z.strictObject({
		kind: z.enum(["positive-displacement", "turbine"]),
		pulsesPerLitre: between(1, 20_000, "K-factor of the flow meter, pulses/L"),
	}),
	supply: z.strictObject({
		batteryAh: between(5, 2_000, "rated capacity of the battery that feeds the pump, Ah"),
		internalOhm: between(0.001, 1, "battery and cable resistance as the pump sees it, Ω"),
	}),
	setpoints: setpointsSchema.prefault({}),
});

export type Rig = Readonly<z.infer<typeof rigSchema>>;

/**
 * Reads and checks a rig file's text.
 * @throws InputError naming file, line, column, key, what was found and what is allowed
 */
export function readRig(text: string, file: string): Rig {
	const { value: rig, problem } = readDocument(text, file, rigSchema);
	const problems = contradictions(rig).map(({ path, allowed }) => problem(path, allowed));
	if (problems.length > 0) throw new InputError(problems);
	return rig;
}

/** Values that are fine alone and wrong together. */
function contradictions(rig: Rig): Array<{ path: Array<string | number>; allowed: string }> {
	const { bowl, element, pump, setpoints, tanks } = rig;
	const names = tanks.map((tank) => tank.name);
	const found: Array<{ path: Array<string | number>; allowed: string }> = [];
	const refuse = (path: Array<string | number>, allowed: string) => found.push({ path, allowed });
	names.forEach((name, i) => {
		if (names.indexOf(name) !== i) refuse(["tanks", i, "name"], "a name no other tank has");
	});
	const probeAndAbove = bowl.sumpToProbeMl + bowl.probeToCarryoverMl;
	if (probeAndAbove > bowl.volumeMl) {
		refuse(["bowl", "volumeMl"], `at least sumpToProbeMl + probeToCarryoverMl = ${probeAndAbove}`);
	}
	if (element.changeAtKpa <= element.cleanKpa) {
		refuse(["element", "changeAtKpa"], `above cleanKpa = ${element.cleanKpa}`);
	}
	if (setpoints.dryFlowLph >= setpoints.primedFlowLph) {
		refuse(["setpoints", "dryFlowLph"], `below primedFlowLph = ${setpoints.primedFlowLph}`);
	}
	if (setpoints.primedFlowLph > 0.8 * pump.freeFlowLph) {
		const limit = (0.8 * pump.freeFlowLph).toFixed(1);
		refuse(["setpoints", "primedFlowLph"], `at most 0.8 of pump.freeFlowLph = ${limit}`);
	}
	// A block of one second at the prime limit must hold two pulses, or fuel could not be proven.
	const pulsesMin = Math.ceil((2 * 3600) / setpoints.primedFlowLph);
	if (rig.meter.pulsesPerLitre < pulsesMin) {
		refuse(
			["meter", "pulsesPerLitre"],
			`at least ${pulsesMin}, 2 pulses a second at primedFlowLph`,
		);
	}
	const hertz = (rig.meter.pulsesPerLitre * pump.freeFlowLph) / 3600;
	if (hertz > PULSE_HZ_MAX) {
		const limit = Math.floor((PULSE_HZ_MAX * 3600) / pump.freeFlowLph);
		refuse(["meter", "pulsesPerLitre"], `at most ${limit}: the board counts ${PULSE_HZ_MAX} Hz`);
	}
	if (names.includes("all")) refuse(["tanks", names.indexOf("all"), "name"], "any name but `all`");
	if (pump.dryRunSecondsMax * 1000 >= INTERLOCK.dryPumpMsMax) {
		const limit = INTERLOCK.dryPumpMsMax / 1000;
		refuse(["pump", "dryRunSecondsMax"], `below the interlock's own limit of ${limit} s`);
	}
	if (pump.runMinutesMax * 60_000 >= INTERLOCK.pumpOnMsMax) {
		const limit = INTERLOCK.pumpOnMsMax / 60_000;
		refuse(["pump", "runMinutesMax"], `below the interlock's own limit of ${limit} min`);
	}
	return found;
}
