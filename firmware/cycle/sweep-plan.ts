// Sweeping by the bowl's volumes: a slug of water outruns the probe while the pump goes on, so it
// is moved in bursts that cannot fill the room above the probe, and the bowl stands after each.

import type { Rig } from "../config/rig.ts";

export interface SweepPlan {
	/** Litres at the meter that end a burst, mL: half of what lies between probe and carry-over. */
	readonly burstMl: number;
	readonly standSeconds: number;
	/** It ends after so many bursts in a row that brought no water to the probe. */
	readonly dryBursts: number;
}

/** The meter's own delay before it shows the flow, ms: flow.ts counts by the second. */
const METER_MS = 1_500;

export function sweepPlan(
	rig: Rig,
	{ standSeconds = 20, dryBursts }: { standSeconds?: number; dryBursts?: number | undefined } = {},
): SweepPlan {
	const burstMl = rig.bowl.probeToCarryoverMl / 2;
	return { burstMl, standSeconds, dryBursts: dryBursts ?? burstsMin(rig) + 1 };
}

/** Bursts that carry what enters the tube to the bowl, and there fill it up to the probe. */
function burstsMin({ tube, hose, bowl }: Rig): number {
	const burstMl = bowl.probeToCarryoverMl / 2;
	const lineMl = boreMl(tube.boreMm, tube.lengthMm) + boreMl(hose.boreMm, hose.lengthMm);
	return Math.ceil(lineMl / burstMl) + Math.ceil(bowl.sumpToProbeMl / burstMl);
}

const boreMl = (boreMm: number, lengthMm: number) => (Math.PI * boreMm * boreMm * lengthMm) / 4_000;

/** Why this rig cannot sweep in this way, or null. */
export function sweepGap(rig: Rig, { burstMl, dryBursts }: SweepPlan): string | null {
	const { pump, setpoints } = rig;
	const proofMl = (pump.freeFlowLph / 3_600) * (setpoints.primedForMs + METER_MS);
	if (burstMl < proofMl) {
		const [burst, proof] = [burstMl, proofMl].map((ml) => `${ml.toFixed(0)} mL`);
		return `the bowl is too small to sweep: a burst may move ${burst}, proving fuel takes ${proof}`;
	}
	const least = burstsMin(rig);
	return dryBursts >= least
		? null
		: `${dryBursts} dry bursts prove nothing: line and bowl hide the water of ${least}`;
}
