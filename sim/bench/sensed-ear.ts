// An ear at the controller's first stage: what a tick made of its readings, for pictures and for
// replays. Imports the stages of the controller.

import { STAGES } from "../../firmware/controller.ts";
import type { Sensed } from "../../firmware/sense/sensed.ts";

export class SensedEar {
	/** Of the last tick that sensed anything; null before there was one. */
	heard: Sensed | null = null;

	/** For the controller that is listened to. */
	readonly stages: typeof STAGES = {
		...STAGES,
		sense: (plan, before, readings, moment) => {
			const result = STAGES.sense(plan, before, readings, moment);
			this.heard = result.sensed;
			return result;
		},
	};
}
