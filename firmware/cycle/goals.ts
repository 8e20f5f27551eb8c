// When an order has what it wanted, and when a burst of its sweep is done. Asked every tick, by
// what the meter and the levels say. Pure.

import type { Rig } from "../config/rig.ts";
import type { Sensed } from "../sense/sensed.ts";
import { hours, litres, type Tally } from "../totals.ts";
import { type CycleContext, isSweeping } from "./context.ts";
import type { Order } from "./orders.ts";

/** Whether one of its goals is reached. @param run what it has pumped */
export function isGoalReached(order: Order, run: Tally, { toLevel }: Sensed, rig: Rig): boolean {
	const { goalLitres, goalHours, goalShare } = order;
	return (
		(goalLitres !== null && litres(run, rig) >= goalLitres) ||
		(goalHours !== null && hours(run) >= goalHours) ||
		(goalShare !== null && toLevel !== null && toLevel >= goalShare)
	);
}

/**
 * Whether the burst under way has moved what it may.
 * @param pulses since the pump was switched on
 */
export function isBurstDone(context: CycleContext, pulses: number, rig: Rig): boolean {
	const burstMl = context.order?.sweep?.burstMl;
	if (burstMl === undefined || !isSweeping(context)) return false;
	return 1000 * litres({ motorMs: 0, pulses }, rig) >= burstMl;
}
