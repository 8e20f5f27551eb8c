// What commissioning says over the link, as a person beside the rig asks for it: the step under way
// and the steps that are due. Imports the controller's answers.

import type { ProofNow } from "../../firmware/commission/schemas.ts";
import type { Step } from "../../firmware/commission/step-rows.ts";
import type { ControllerState } from "../../firmware/controller.ts";

export interface Proving {
	readonly now: ProofNow;
	/** In the catalogue's order. */
	readonly due: readonly Step[];
}

export function provingOf(_state: ControllerState): Proving {
	return { now: { trial: null, last: null }, due: [] };
}
