// What commissioning says over the link, as a person beside the rig asks for it: the step under way
// and the steps that are due. Imports the firmware's commissioning.

import { dueAt } from "../../firmware/commission/evidence.ts";
import { type ProvingPlan, planProving } from "../../firmware/commission/plan.ts";
import type { ProofNow } from "../../firmware/commission/schemas.ts";
import type { Step } from "../../firmware/commission/step-ways.ts";
import { proofNow } from "../../firmware/commission/telling.ts";
import type { PinMap } from "../../firmware/config/pins.ts";
import type { Rig } from "../../firmware/config/rig.ts";
import type { ControllerState } from "../../firmware/controller.ts";
import { localMs } from "../../firmware/local-time.ts";

export class ProvingDesk {
	private readonly plan: ProvingPlan;

	constructor(rig: Rig, pins: PinMap) {
		this.plan = planProving(rig, pins);
	}

	now({ commission, nowMs }: ControllerState): ProofNow {
		return proofNow(commission, null, nowMs);
	}

	/** In the catalogue's order. */
	due({ commission, schedule, nowMs }: ControllerState): Step[] {
		const local = localMs(schedule.clock, nowMs);
		const { plan } = this;
		return plan.steps.filter((_, at) => dueAt(plan, commission.evidence, at, local) !== null);
	}
}
