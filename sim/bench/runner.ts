// Plays one scenario on the model board, the simulator owning the time. Same scenario and seed,
// same result to the last bit.

import type { PinMap } from "../../firmware/config/pins.ts";
import type { Rig } from "../../firmware/config/rig.ts";
import type { StateName } from "../../firmware/cycle/effects.ts";
import { ModelBoard } from "../model-board.ts";
import type { RigModel } from "../rig.ts";
import type { Person } from "./commissioner.ts";
import { people } from "./people.ts";
import type { Scenario } from "./scenario.ts";
import {
	type BenchRun,
	type KeptBoot,
	rigAtStart,
	Session,
	type SessionOptions,
	TICK_MS,
} from "./session.ts";

export interface RunOptions extends SessionOptions {
	/** How whoever proves the rig differs from a careful person, for tests. */
	readonly person?: Person;
	/** Called after each step of the rig, with what the controller is about. */
	readonly afterStep?: (model: RigModel, doing: StateName) => void;
}

/** A run on the model board, and the tick inputs of all its boots. */
export interface ModelRun extends BenchRun {
	readonly boots: readonly KeptBoot[];
}

export function runScenario(
	scenario: Scenario,
	rig: Rig,
	pins: PinMap,
	options: RunOptions = {},
): ModelRun {
	const seed = options.seed ?? scenario.seed;
	const model = rigAtStart(scenario, rig, seed);
	const board = new ModelBoard(model, pins, seed);
	const called = people(options.person);
	const session = new Session(scenario, rig, pins, model, board, { people: called, ...options });
	while (!session.over) {
		session.tick();
		model.step(TICK_MS / 1000);
		options.afterStep?.(model, session.doing);
		session.afterStep();
	}
	return { ...session.end("model"), boots: session.boots };
}
