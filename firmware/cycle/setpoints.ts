// The setpoints: every number that decides when the pump starts or stops and that a rig file
// may change. Unit, default, range and reason stand in one row; schema and docs are made from it.
// Defaults marked "common practice" have no published source.

import * as z from "zod";

export interface SetpointRow {
	readonly unit: string;
	readonly preset: number;
	readonly min: number;
	readonly max: number;
	readonly reason: string;
}

const rows = {
	waterProbeKohm: {
		unit: "kΩ",
		preset: 300,
		min: 200,
		max: 500,
		reason: "condensate near 10 µS/cm still reads below it; a film does not (common practice)",
	},
	waterDelayMs: {
		unit: "ms",
		preset: 300,
		min: 100,
		max: 400,
		reason: "passes a droplet on the probe, yet the pump is off within 1 s of water bridging it",
	},
	waterGoneMs: {
		unit: "ms",
		preset: 3000,
		min: 1000,
		max: 10000,
		reason: "how long the probe must read dry before the drain counts as seen",
	},
	primedFlowLph: {
		unit: "L/h",
		preset: 35,
		min: 5,
		max: 500,
		reason: "flow that proves fuel at the meter; well under free flow, well over a dripping pump",
	},
	primedForMs: {
		unit: "ms",
		preset: 3000,
		min: 1000,
		max: 10000,
		reason: "one slug of fuel between two air pockets is shorter than this",
	},
	dryFlowLph: {
		unit: "L/h",
		preset: 12,
		min: 2,
		max: 200,
		reason:
			"flow that is air whatever flowed before; under the prime limit so that they cannot chatter",
	},
	dryRunDelayMs: {
		unit: "ms",
		preset: 2000,
		min: 1500,
		max: 10000,
		reason:
			"time on air alone, by flow, current and vacuum together, fuel between gulps set against " +
			"it: stops within 6 s of air reaching the pump",
	},
	primeTriesMax: {
		unit: "tries",
		preset: 3,
		min: 1,
		max: 3,
		reason: "each try lasts the pump's dry-run limit and is followed by an equal rest",
	},
	hornMs: {
		unit: "ms",
		preset: 10000,
		min: 10000,
		max: 60000,
		reason: "lamp and horn before the controller starts the pump by itself: hands away",
	},
	strayCurrentA: {
		unit: "A",
		preset: 0.2,
		min: 0.05,
		max: 1,
		reason: "above the current monitor's noise, under any turning motor's current",
	},
	strayDelayMs: {
		unit: "ms",
		preset: 800,
		min: 200,
		max: 2000,
		reason: "the contact and the monitor settle within it; each contact is proven for longer",
	},
	sensorLostMs: {
		unit: "ms",
		preset: 1000,
		min: 500,
		max: 2000,
		reason: "a single lost report passes; a cut wire stops the pump within 2 s of its last report",
	},
	recordPatienceMs: {
		unit: "ms",
		preset: 10000,
		min: 1000,
		max: 30000,
		reason: "an order or start that is not on disk by then is given up, and a run stops",
	},
	suctionRiseKpa: {
		unit: "kPa",
		preset: 5,
		min: 3,
		max: 15,
		reason:
			"vacuum gained in 10 s over all of the last minute: a tube drawn to a wall (common practice)",
	},
	vacuumStopKpa: {
		unit: "kPa",
		preset: 30,
		min: 8,
		max: 50,
		reason: "at the pump inlet for 20 s; near it air comes out of the fuel (common practice)",
	},
	overcurrentPct: {
		unit: "% of running",
		preset: 170,
		min: 130,
		max: 220,
		reason: "for 1 s; inrush is over by then, a seized motor draws several times as much",
	},
	noCurrentPct: {
		unit: "% of running",
		preset: 15,
		min: 5,
		max: 40,
		reason: "for 1.5 s; a pump on air still draws more than this",
	},
	supplyFloorVolts: {
		unit: "V of 12",
		preset: 10.8,
		min: 10.5,
		max: 11.8,
		reason: "at the pump under its load, for 3 s; twice it for a pump of 24 V",
	},
	supplyHoldVolts: {
		unit: "V of 12",
		preset: 11.9,
		min: 11.5,
		max: 13.2,
		reason:
			"with the pump's own drop added, for 30 s: a lead battery near a fifth of its charge; " +
			"lithium iron phosphate needs about 12.9",
	},
	supplyResumeVolts: {
		unit: "V of 12",
		preset: 12.4,
		min: 11.8,
		max: 13.6,
		reason: "for 10 min before a held order goes on",
	},
	chargingVolts: {
		unit: "V of 12",
		preset: 13.3,
		min: 12.8,
		max: 14.4,
		reason: "for 1 min: on shore power or sun; for lithium iron phosphate 13.5 at least",
	},
	supplyHighVolts: {
		unit: "V of 12",
		preset: 15.2,
		min: 14.8,
		max: 15.8,
		reason: "for 1 s; over any charger's highest stage, equalising left out",
	},
	tooColdC: {
		unit: "°C",
		preset: 2,
		min: 2,
		max: 15,
		reason: "under it water in the bowl may freeze and read dry, whatever the cloud point",
	},
	caseRestC: {
		unit: "°C",
		preset: 70,
		min: 40,
		max: 85,
		reason: "motor's case for 5 s: the pump rests until it is 10 K cooler, whatever the clock says",
	},
	caseStopC: {
		unit: "°C",
		preset: 85,
		min: 50,
		max: 90,
		reason: "motor's case for 5 s; its windings are hotter by some 30 K (common practice)",
	},
	levelDriftPct: {
		unit: "% of the tank",
		preset: 3,
		min: 1,
		max: 5,
		reason: "a tank that is polished keeps its level; 3 % of 310 L is 9 L",
	},
	destinationFullPct: {
		unit: "% of the tank",
		preset: 95,
		min: 50,
		max: 96,
		reason: "ullage line: room for warmth and a boat that rolls",
	},
	sourceLowPct: {
		unit: "% of the tank",
		preset: 4,
		min: 1,
		max: 50,
		reason: "the pick-up sucks air soon after",
	},
	siphonLph: {
		unit: "L/h",
		preset: 4,
		min: 2,
		max: 20,
		reason: "flow with the pump off, once 20 mL more than it came; a slower one is for the hole",
	},
	holdHoursMax: {
		unit: "h",
		preset: 12,
		min: 1,
		max: 48,
		reason: "an order that waits for longer has lost its night",
	},
	armedHoursMax: {
		unit: "h",
		preset: 24,
		min: 1,
		max: 24,
		reason: "somebody has been at the rig since then, or should have been",
	},
	confirmMinutesMax: {
		unit: "min",
		preset: 15,
		min: 5,
		max: 60,
		reason:
			"who attends an order presses the box's button that often; the horn asks a minute before",
	},
	timeLimitMinutes: {
		unit: "min",
		preset: 720,
		min: 1,
		max: 2880,
		reason: "an order at work for longer has missed its goal for a reason nobody has seen",
	},
} as const satisfies Record<string, SetpointRow>;

export type SetpointName = keyof typeof rows;

/** Every setpoint with its row, in the order of the table. */
export const setpointRows: Readonly<Record<SetpointName, SetpointRow>> = rows;

const shape = Object.fromEntries(
	Object.entries(rows).map(([name, row]) => [
		name,
		z.number().min(row.min).max(row.max).default(row.preset).describe(`${row.unit}: ${row.reason}`),
	]),
) as Record<SetpointName, z.ZodDefault<z.ZodNumber>>;

/** Schema of a rig file's `setpoints`: each key may be left out. */
export const setpointsSchema = z.strictObject(shape);
