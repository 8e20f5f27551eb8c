// Flow and litres from the meter's running pulse count, and how long the pump has gone without a
// pulse. Flow is the count over blocks of one second: 95 L/h at 420 pulses/L is 11 pulses a block,
// one pulse of which is 9 % (JCGM 100, 4.3.7: resolution).

import type { Reading } from "../board/port.ts";
import { fresh, type Moment, type Quantity } from "./quantity.ts";

const BLOCK_MS = 1_000;

/**
 * After a late tick the pump is credited with no more than this: the dead-man has let go by then
 * (worst-case release 1.5 s).
 */
const BEAT_HOLDS_MS = 1_500;

export interface FlowState {
	/** Last count seen; null until the meter has reported. */
	readonly count: number | null;
	readonly blockMs: number;
	readonly blockCount: number;
	readonly flowLph: Quantity;
	/** Pump-on time since the last pulse, ms; 0 while the pump is off. */
	readonly noFlowMs: number;
	/** Pump-on time of this stretch, ms; 0 while the pump is off. */
	readonly pumpOnMs: number;
}

export const flowAtBoot = (nowMs: number): FlowState => ({
	count: null,
	blockMs: nowMs,
	blockCount: 0,
	flowLph: "not-fitted",
	noFlowMs: 0,
	pumpOnMs: 0,
});

/** @returns the new state, the pulses and the pump-on time of this tick */
export function measureFlow(
	before: FlowState,
	reading: Reading | undefined,
	pulsesPerLitre: number,
	{ motorOn, elapsedMs, nowMs }: Moment,
): { state: FlowState; pulses: number; motorMs: number } {
	const motorMs = motorOn ? Math.min(elapsedMs, BEAT_HOLDS_MS) : 0;
	const pumpOnMs = motorOn ? before.pumpOnMs + motorMs : 0;
	const dryMs = motorOn ? before.noFlowMs + motorMs : 0;
	const count = fresh(reading);
	if (typeof count !== "number") {
		const state = { count: null, blockMs: nowMs, blockCount: 0, flowLph: count };
		return { state: { ...state, noFlowMs: dryMs, pumpOnMs }, pulses: 0, motorMs };
	}
	// A count that went back is a board that started anew: nothing is known of the pulses between.
	const first = before.count === null || count < before.count;
	const pulses = first ? 0 : count - (before.count ?? count);
	const noFlowMs = pulses > 0 ? 0 : dryMs;
	const blockMs = nowMs - before.blockMs;
	if (first || blockMs >= BLOCK_MS) {
		const litres = (count - before.blockCount) / pulsesPerLitre;
		const flowLph = first ? 0 : (litres * 3_600_000) / blockMs;
		const state = { count, blockMs: nowMs, blockCount: count, flowLph, noFlowMs, pumpOnMs };
		return { state, pulses, motorMs };
	}
	return { state: { ...before, count, noFlowMs, pumpOnMs }, pulses, motorMs };
}
