// A cell of the table of sensor, fault and state as a story for the bench: the example rig with all
// its sensors, brought to the cell's point of the cycle, where the fault begins. Each story is a
// short order in two stretches of the pump with a rest between them.

import { createController } from "../../firmware/controller.ts";
import { type Cell, faultOf, type Point } from "../../host/report/sensor-faults.ts";
import { type ModelRun, runScenario } from "../../sim/bench/runner.ts";
import { type Scenario, scenarioSchema } from "../../sim/bench/scenario.ts";
import { exampleRig, pins } from "../stories/world.ts";

/** As the table's head says: a tap at the bowl, 3 min at a time and 1 min of rest, an hour held. */
const rig = exampleRig((text) =>
	text
		.replace("    case-temperature,\n", "    case-temperature,\n    bowl-tap,\n")
		.replace("runMinutesMax: 40", "runMinutesMax: 3")
		.replace("restMinutes: 20", "restMinutes: 1")
		.replace("setpoints: {}", "setpoints: { holdHoursMax: 1, confirmMinutesMax: 60 }"),
);
const controller = createController(rig, pins);

/** The pump has stood for long enough to judge the vacuum. */
export const ORDER_S = 45;
/** From the trip of the stage to the acknowledgement, s. */
export const ACKNOWLEDGED_S = 90;
/** From the sensor's fault to the hazard, s. */
const HAZARD_S = 5;
/**
 * Two stretches of the pump; one, where all that is asked is whether it goes on; and more, where
 * noise has to add up or a slow hazard to show.
 */
const LITRES = { plain: 7, short: 3, noise: 12, slow: 24 };
/** Hazards that take a quarter of an hour of pumping to show. */
const SLOW: readonly string[] = ["motor-hot", "return-in-wrong-tank"];

type Upon = Pick<Scenario["faults"][number], "atSeconds" | "uponState" | "uponTrip"> & {
	afterSeconds: number;
};

interface Stage {
	/** When the fault begins. */
	readonly onset: Upon;
	/** What brings the rig there. */
	readonly faults?: ReadonlyArray<object>;
	readonly crew?: ReadonlyArray<object>;
}

/** Reads so cold for a minute that the order is held. */
const COLD_SPELL = { fault: "fuel-temperature-drifts", size: 18 };
/** Reads so low for a minute that the order is held; it stays above the floor. */
const LOW_SPELL = { fault: "supply-volts-drifts", size: -3.4 };

function stageOf(point: Point, channel: string): Stage {
	const spell = channel === "fuel-temperature" ? LOW_SPELL : COLD_SPELL;
	switch (point) {
		case "off":
			return { onset: { atSeconds: 5, afterSeconds: 0 } };
		case "starting/warning":
			return { onset: { uponState: "priming", afterSeconds: 3 } };
		case "starting/drawing":
			// Horn and proofs take 18.5 s.
			return { onset: { uponState: "priming", afterSeconds: 20.5 } };
		case "pumping":
			return { onset: { uponState: "polishing", afterSeconds: 45 } };
		case "between/resting":
			return { onset: { uponState: "resting", afterSeconds: 20 } };
		case "between/held":
			return {
				onset: { uponState: "held", afterSeconds: 40 },
				faults: [{ ...spell, uponState: "polishing", afterSeconds: 30, forSeconds: 60 }],
			};
		case "tripped":
			return {
				onset: { uponTrip: "no-current", afterSeconds: 20 },
				faults: [
					{ fault: "motor-wire-off", uponState: "polishing", afterSeconds: 20, forSeconds: 10 },
				],
				crew: [{ uponTrip: "no-current", afterSeconds: ACKNOWLEDGED_S, does: "press-acknowledge" }],
			};
	}
}

export interface StoryRun extends ModelRun {
	/** When power reached the motor and when it went, s, from the start. */
	readonly switched: ReadonlyArray<{ readonly on: boolean; readonly atS: number }>;
}

export interface Options {
	readonly attended?: boolean;
	/** Without the sensor's fault, to compare with. */
	readonly healthy?: boolean;
}

/** Plays a cell. */
export function play(cell: Cell, { attended = false, healthy = false }: Options = {}): StoryRun {
	const { row, point, channel } = cell;
	const { onset, faults = [], crew = [] } = stageOf(point, channel);
	const fault = faultOf(cell);
	const hazard = "whenHazard" in row ? row.whenHazard : undefined;
	const isShort = attended && !point.startsWith("between");
	const isNoise = cell.fault === "noisy" && row.answer === "trip";
	const long = SLOW.includes(hazard ?? "") ? "slow" : isNoise ? "noise" : "plain";
	const litres = LITRES[isShort ? "short" : long];
	const sized = "hazardSize" in row ? { size: row.hazardSize } : {};
	const later = { ...onset, afterSeconds: onset.afterSeconds + HAZARD_S };
	const happens =
		later.atSeconds === undefined
			? later
			: { atSeconds: later.atSeconds + later.afterSeconds, afterSeconds: 0 };
	const scenario = scenarioSchema.parse({
		title: "one sensor fails",
		invented: true,
		rig: "none",
		seed: 5,
		start: {
			commissioned: true,
			armed: !("armed" in row),
			tube: "port",
			return: "port",
			airC: 15,
			tanks: {
				port: { fuelLitres: 180, dirtGrams: 20 },
				starboard: { fuelLitres: 180, dirtGrams: 20 },
			},
		},
		orders: [
			{
				atSeconds: ORDER_S,
				polish: { tank: "port", litres, attended, sweepFirst: false },
			},
		],
		faults: [
			...faults,
			...(healthy || fault === null ? [] : [{ ...fault, ...onset }]),
			...(hazard === undefined ? [] : [{ fault: hazard, ...sized, ...happens }]),
		],
		crew,
		hoursMax: 2,
		expect: [{ outcome: "finished" }],
	});
	const switched: Array<{ on: boolean; atS: number }> = [];
	let on = false;
	const run = runScenario(scenario, rig, pins, {
		controller,
		afterStep: ({ motor, elapsedS }) => {
			if (motor.powered === on) return;
			on = motor.powered;
			switched.push({ on, atS: elapsedS });
		},
	});
	return { ...run, switched };
}

const healthyRuns = new Map<string, StoryRun>();

/** The same story in which no sensor fails; the hazard happens all the same. */
export function healthyRun(cell: Cell): StoryRun {
	const { point, channel, row } = cell;
	const spell = channel === "fuel-temperature" ? "low" : "cold";
	const hazard = "whenHazard" in row ? row.whenHazard : undefined;
	const key = `${point} ${point === "between/held" ? spell : ""} ${hazard}`;
	const found = healthyRuns.get(key) ?? play(cell, { healthy: true });
	healthyRuns.set(key, found);
	return found;
}
