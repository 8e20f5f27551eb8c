// Plays one scenario: the real controller against the simulated rig, tick by tick, the simulator
// owning the time. Same scenario and seed, same result to the last bit.

import type { PinMap } from "../../firmware/config/pins.ts";
import type { Rig } from "../../firmware/config/rig.ts";
import {
	type Controller,
	type ControllerState,
	createController,
} from "../../firmware/controller.ts";
import { stateName } from "../../firmware/cycle/advance.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { ModelBoard } from "../model-board.ts";
import { RigModel, type TankStart, type Truth } from "../rig.ts";
import { Crew } from "./crew.ts";
import type { Scenario, TruthEvent } from "./scenario.ts";
import { Tape } from "./tape.ts";

export const TICK_MS = 100;
/** The run ends when nothing is under way or planned for so long, ms. */
const QUIET_MS = 10_000;
const EMPTY: TankStart = { fuelLitres: 0, freeWaterLitres: 0, dispersedWaterPpm: 0, dirtGrams: 0 };

export interface BenchRun {
	readonly scenario: Scenario;
	readonly rig: Rig;
	readonly seed: number;
	readonly ticks: number;
	readonly records: readonly LogRecord[];
	readonly tape: Tape;
	readonly state: ControllerState;
	readonly truth: Truth;
	/** True when a fault kept the controller from finishing its ticks. */
	readonly hung: boolean;
	/** First time of each thing that happened in the world, s. */
	readonly happened: ReadonlyMap<TruthEvent, number>;
	/** When the pump last ran, s. */
	readonly lastPumpS: number | null;
	/** Charge drawn by the pump, Ah. */
	readonly ampHours: number;
	/** The rig as the run left it. */
	readonly model: RigModel;
}

export interface RunOptions {
	readonly seed?: number;
	/** Another controller in place of the standard one, for tests. */
	readonly controller?: Controller;
	/** Called after each step of the rig. */
	readonly afterStep?: (model: RigModel) => void;
}

export function runScenario(
	scenario: Scenario,
	rig: Rig,
	pins: PinMap,
	options: RunOptions = {},
): BenchRun {
	const seed = options.seed ?? scenario.seed;
	const { start } = scenario;
	const tanks = new Map(rig.tanks.map(({ name }) => [name, start.tanks[name] ?? EMPTY]));
	const model = new RigModel(rig, {
		...start,
		tanks,
		tubeTank: start.tube,
		returnTank: start.return,
	});
	const board = new ModelBoard(model, rig, pins, seed);
	const controller = options.controller ?? createController(rig, pins);
	const inputs = Object.entries(pins.channels).filter(([, c]) => c.kind !== "digital-out");
	const tape = new Tape(inputs.map(([name]) => name));
	const records: LogRecord[] = [];
	const crew = new Crew(scenario, model);
	const ticksMax = Math.round((scenario.hoursMax * 3_600_000) / TICK_MS);

	const booted = controller.boot(0);
	let { state } = booted;
	records.push(...booted.records);
	let hung = false;
	let quietMs = 0;
	let tick = 0;
	for (; tick < ticksMax && quietMs < QUIET_MS; tick += 1) {
		const nowMs = tick * TICK_MS;
		crew.act(nowMs);
		hung ||= model.faults.has("controller-hangs");
		if (!hung) {
			// The model's log is durable by the next tick: all that was written before this one.
			const log = { durableSeq: state.nextSeq - 1, failed: model.faults.has("log-fails") };
			const { commissioned } = start;
			const { armed } = crew;
			const commands = crew.takeCommands();
			const inputs = { nowMs, readings: board.read(nowMs), commands, commissioned, armed, log };
			const result = attempt(controller, state, inputs);
			if (result === null) {
				hung = true;
			} else {
				state = result.state;
				tape.push(inputs, result.outputs);
				board.drive(result.outputs);
				records.push(...result.records);
				crew.read(result.records, nowMs);
			}
		}
		model.step(TICK_MS / 1000);
		options.afterStep?.(model);
		crew.watch((nowMs + TICK_MS) / 1000);
		quietMs = isQuiet(state, hung, crew) ? quietMs + TICK_MS : 0;
	}
	return {
		scenario,
		rig,
		seed,
		ticks: tick,
		records,
		tape,
		state,
		truth: model.truth,
		hung,
		happened: crew.happened,
		lastPumpS: model.lastPoweredS,
		ampHours: model.motor.ampHours,
		model,
	};
}

/** A stage that throws is a controller that hangs: no outputs, no beat. */
function attempt(
	controller: Controller,
	state: ControllerState,
	inputs: Parameters<Controller["tick"]>[1],
) {
	try {
		return controller.tick(state, inputs);
	} catch {
		return null;
	}
}

function isQuiet(state: ControllerState, hung: boolean, crew: Crew): boolean {
	if (crew.pending > 0) return false;
	const name = stateName(state.cycle.value);
	return hung || (state.waiting.length === 0 && (name === "idle" || name === "tripped"));
}
