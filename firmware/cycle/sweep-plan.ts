// Sweeping by the bowl's volumes: a slug of water outruns the probe while the pump goes on, so it is
// moved in bursts that cannot fill the room above the probe, and the bowl stands after each. Pure.

import type { Rig } from "../config/rig.ts";

export interface SweepPlan {
	/** Litres at the meter that end a burst, mL: half of what lies between probe and carry-over. */
	readonly burstMl: number;
	readonly standSeconds: number;
	/** It ends after so many bursts in a row that brought no water to the probe. */
	readonly dryBursts: number;
}

/** Bursts beyond those that empty the line: water at the pick-up has had its chance to come. */
const BURSTS_BEYOND = 2;
/** The meter's own delay before it shows the flow, ms: flow.ts counts by the second. */
const METER_MS = 1_500;

export function sweepPlan(
	rig: Rig,
	{ standSeconds = 20, dryBursts }: { standSeconds?: number; dryBursts?: number | undefined } = {},
): SweepPlan {
	const burstMl = rig.bowl.probeToCarryoverMl / 2;
	return { burstMl, standSeconds, dryBursts: dryBursts ?? burstsOfLine(rig) + BURSTS_BEYOND };
}

/** Bursts that carry what enters the tube to the bowl. */
function burstsOfLine(rig: Rig): number {
	const { tube, hose, bowl } = rig;
	const ml = boreMl(tube.boreMm, tube.lengthMm) + boreMl(hose.boreMm, hose.lengthMm);
	return Math.ceil(ml / (bowl.probeToCarryoverMl / 2));
}

const boreMl = (boreMm: number, lengthMm: number) => (Math.PI * boreMm * boreMm * lengthMm) / 4_000;

/** Why this rig cannot sweep in this way, or null. */
export function sweepGap(rig: Rig, plan: SweepPlan): string | null {
	const { pump, setpoints } = rig;
	const proofMl = (pump.freeFlowLph / 3_600) * (setpoints.primedForMs + METER_MS);
	if (plan.burstMl >= proofMl) {
		const least = burstsOfLine(rig);
		return plan.dryBursts > least
			? null
			: `${plan.dryBursts} dry bursts prove nothing: the line alone holds ${least}`;
	}
	const [burst, proof] = [plan.burstMl, proofMl].map((ml) => ml.toFixed(0));
	return `the bowl is too small to sweep: a burst may move ${burst} mL, and proving fuel takes ${proof} mL`;
}
