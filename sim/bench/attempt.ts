// One tick of a controller that may hang in it: for a session of the bench, and for a replay, where
// a hang is kept as one. Imports types alone.

import type {
	Controller,
	ControllerState,
	TickInputs,
	TickResult,
} from "../../firmware/controller.ts";

/** A stage that throws is a controller that hangs: no outputs, no beat. */
export function attempt(
	controller: Controller,
	state: ControllerState,
	inputs: TickInputs,
): TickResult | null {
	try {
		return controller.tick(state, inputs);
	} catch {
		return null;
	}
}
