// The rig file: what one portable rig is made of, as its owner describes it. Keys carry units.
// Imports: the setpoint table and the interlock's limits, so that a contradiction is refused here.

import * as z from "zod";
import type { Work } from "../cycle/order-schemas.ts";
import { scheduleSchema } from "../cycle/plan-schema.ts";
import { setpointsSchema } from "../cycle/setpoints.ts";
import { INTERLOCK } from "../interlock.ts";
import { readDocument } from "./document.ts";
import { InputError } from "./input-error.ts";
import {
	boardSchema,
	bowlSchema,
	elementSchema,
	fuelSchema,
	hoseSchema,
	meterSchema,
	pumpSchema,
	sensorsSchema,
	supplySchema,
	tankSchema,
	tubeSchema,
} from "./rig-parts.ts";
import { sizingSchema } from "./rig-sizing.ts";

/** Measured without loss over the board's serial line with all channels of the pin map in use. */
const PULSE_HZ_MAX = 300;

/** Rest volts of 12 V under which little is left in lithium iron phosphate (common practice). */
const IRON_PHOSPHATE_HOLD_VOLTS = 12.8;

/** Air turns a turbine at four tenths of its pulses on fuel (dry-run.ts): more proves fuel. */
const TURBINE_PROVES = 0.5;

const rigSchema = z.strictObject({
	rig: z.string().min(1).max(80).describe("name of the rig"),
	invented: z.boolean().default(false).describe("true for demonstration data"),
	fuel: fuelSchema,
	tanks: z.array(tankSchema).min(1).max(12),
	tube: tubeSchema,
	hose: hoseSchema.describe("from the tube to the bowl"),
	returnHose: hoseSchema.prefault({ lengthMm: 2_000, boreMm: 10 }),
	bowl: bowlSchema,
	element: elementSchema,
	pump: pumpSchema,
	meter: meterSchema,
	supply: supplySchema,
	sensors: sensorsSchema,
	setpoints: setpointsSchema.prefault({}),
	schedule: scheduleSchema,
	board: boardSchema.optional(),
	sizing: sizingSchema.describe("what `lees size` assumes, and a goal of dilution"),
});

export type Rig = Readonly<z.infer<typeof rigSchema>>;
type Tank = Rig["tanks"][number];

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

/** The tanks that a piece of work names, each with its key. */
function tanksOf(work: Work): Array<readonly [string[], string]> {
	if ("polish" in work) return [[["polish", "tank"], work.polish.tank]];
	if ("sweep" in work) return [[["sweep", "tank"], work.sweep.tank]];
	const { from, to } = work.transfer;
	return [
		[["transfer", "from"], from],
		[["transfer", "to"], to],
	];
}

/** What is wrong with a tank's dip table, or null. */
function dipTableWords({ shape, dipTable, depthMm, volumeLitres }: Tank): string | null {
	if (shape !== "dip-table") return dipTable === undefined ? null : "shape: dip-table with it";
	if (dipTable === undefined) return "a dipTable with this shape";
	const rises = dipTable.every(({ dipMm, litres }, i) => {
		const before = dipTable[i - 1];
		return before === undefined
			? dipMm === 0 && litres === 0
			: dipMm > before.dipMm && litres > before.litres;
	});
	if (!rises) return "points from 0 mm, 0 L that rise in both";
	const last = dipTable.at(-1);
	return last?.dipMm === depthMm && last.litres === volumeLitres
		? null
		: `a last point of depthMm and volumeLitres = ${depthMm} mm, ${volumeLitres} L`;
}

/** Values that are fine alone and wrong together. */
function contradictions(rig: Rig): Array<{ path: Array<string | number>; allowed: string }> {
	const { bowl, element, fuel, pump, setpoints, tanks, tube } = rig;
	const names = tanks.map((tank) => tank.name);
	const found: Array<{ path: Array<string | number>; allowed: string }> = [];
	const refuse = (path: Array<string | number>, allowed: string) => found.push({ path, allowed });
	tanks.forEach((tank, i) => {
		if (names.indexOf(tank.name) !== i) refuse(["tanks", i, "name"], "a name no other tank has");
		const reach = tank.depthMm + tank.fillerMm;
		if (tube.lengthMm > reach) {
			const most = `at most depthMm + fillerMm of tank ${tank.name} = ${reach}: it stands out`;
			refuse(["tube", "lengthMm"], most);
		}
		const words = dipTableWords(tank);
		if (words !== null) refuse(["tanks", i, ...(tank.dipTable ? ["dipTable"] : ["shape"])], words);
	});
	if (fuel.grade !== undefined) {
		for (const key of ["density15KgM3", "viscosity40Mm2s", "cloudPointC"] as const) {
			if (fuel[key] !== undefined) refuse(["fuel", key], "left out where a grade is named");
		}
	}
	if (tube.clearanceMm > tube.lengthMm / 2) {
		refuse(["tube", "clearanceMm"], `at most half of lengthMm = ${tube.lengthMm / 2}`);
	}
	const { betas } = element;
	if (betas?.some(({ micron }, i) => i > 0 && micron <= (betas[i - 1]?.micron ?? 0))) {
		refuse(["element", "betas"], "sizes that rise from point to point");
	}
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
	const airLph = TURBINE_PROVES * pump.freeFlowLph;
	if (rig.meter.kind === "turbine" && setpoints.primedFlowLph < airLph) {
		const limit = `at least ${TURBINE_PROVES} of pump.freeFlowLph = ${airLph.toFixed(1)}`;
		refuse(["setpoints", "primedFlowLph"], `${limit} with a turbine: air turns it too`);
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
	const { coldC, warmC, batteryVolts } = rig.sizing;
	if (coldC >= warmC) refuse(["sizing", "coldC"], `below warmC = ${warmC}`);
	// Further off the pump's line is not to be trusted, and it is the wrong battery.
	const [low, high] = [0.75 * pump.ratedVolts, 1.25 * pump.ratedVolts];
	if (batteryVolts !== undefined && (batteryVolts < low || batteryVolts > high)) {
		refuse(["sizing", "batteryVolts"], `${low} to ${high} V, a quarter off pump.ratedVolts`);
	}
	if (setpoints.caseRestC >= setpoints.caseStopC) {
		refuse(["setpoints", "caseRestC"], `below caseStopC = ${setpoints.caseStopC}`);
	}
	const { supplyFloorVolts, supplyHoldVolts, supplyResumeVolts, vacuumStopKpa } = setpoints;
	if (supplyHoldVolts <= supplyFloorVolts) {
		refuse(["setpoints", "supplyHoldVolts"], `above supplyFloorVolts = ${supplyFloorVolts}`);
	}
	if (supplyResumeVolts <= supplyHoldVolts) {
		refuse(["setpoints", "supplyResumeVolts"], `above supplyHoldVolts = ${supplyHoldVolts}`);
	}
	if (rig.supply.chemistry === "iron-phosphate" && supplyHoldVolts < IRON_PHOSPHATE_HOLD_VOLTS) {
		const words = "its curve is flat, and its own protection cuts off unannounced";
		const least = `at least ${IRON_PHOSPHATE_HOLD_VOLTS} for iron-phosphate: ${words}`;
		refuse(["setpoints", "supplyHoldVolts"], least);
	}
	if (pump.wetSuctionKpa !== undefined && vacuumStopKpa >= pump.wetSuctionKpa) {
		const limit = `below pump.wetSuctionKpa = ${pump.wetSuctionKpa}: it would never be reached`;
		refuse(["setpoints", "vacuumStopKpa"], limit);
	}
	rig.sensors.forEach((sensor, i) => {
		if (rig.sensors.indexOf(sensor) !== i) refuse(["sensors", i], "each sensor once");
		if (sensor === "pressure-switch" && pump.pressureSwitchKpa === undefined) {
			refuse(["sensors", i], "pressure-switch only with pump.pressureSwitchKpa");
		}
	});
	rig.schedule.weekly.forEach(({ name, work }, i) => {
		const before = rig.schedule.weekly.findIndex((other) => other.name === name);
		if (before !== i) refuse(["schedule", "weekly", i, "name"], "a name no other plan has");
		for (const [key, tank] of tanksOf(work)) {
			if (names.includes(tank)) continue;
			refuse(["schedule", "weekly", i, "work", ...key], `one of ${names.join(", ")}`);
		}
	});
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
