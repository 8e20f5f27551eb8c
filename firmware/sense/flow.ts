// Flow and litres from the meter's running pulse count, and how long the pump has gone without a
// pulse. Flow is the count over blocks of one second: 95 L/h at 420 pulses/L is 11 pulses a block,
// one pulse of which is 9 % (JCGM 100, 4.3.7: resolution).

import type { Reading } from "../board/port.ts";
import type { Rig } from "../config/rig.ts";
import { fresh, type Moment, type Quantity } from "./quantity.ts";

const BLOCK_MS = 1_000;

/**
 * After a late tick the pump is credited with no more than this: the dead-man has let go by then
 * (worst-case release 1.5 s).
 */
const BEAT_HOLDS_MS = 1_500;

/** So many times the free flow is no flow but a fault. */
const PLAUSIBLE = 3;

export interface FlowState {
	/** Last count heard and when; null until the meter has reported, and after it started anew. */
	readonly last: { readonly count: number; readonly atMs: number } | null;
	readonly blockMs: number;
	readonly blockPulses: number;
	/** Flow of the last whole block, L/h. */
	readonly measuredLph: number;
	readonly flowLph: Quantity;
	/** Pump-on time since the last pulse, ms; 0 while the pump is off. */
	readonly noFlowMs: number;
	/** Pump-on time of this stretch, ms; 0 while the pump is off. */
	readonly pumpOnMs: number;
	/** Time since the pump was switched off, ms; 0 while it is on. */
	readonly offMs: number;
	/**
	 * Litres with the pump off beyond what the limit on siphons lets pass, the time just after the
	 * stop left out: it fills while more flows, and runs empty while less does.
	 */
	readonly siphonLitres: number;
}

export const flowAtBoot = (nowMs: number): FlowState => ({
	last: null,
	blockMs: nowMs,
	blockPulses: 0,
	measuredLph: 0,
	flowLph: "not-fitted",
	noFlowMs: 0,
	pumpOnMs: 0,
	offMs: 0,
	siphonLitres: 0,
});

/** @returns the new state, the pulses and the pump-on time of this tick */
export function measureFlow(
	before: FlowState,
	reading: Reading | undefined,
	rig: Rig,
	{ motorOn, elapsedMs, nowMs }: Moment,
): { state: FlowState; pulses: number; motorMs: number } {
	const motorMs = motorOn ? Math.min(elapsedMs, BEAT_HOLDS_MS) : 0;
	const pumpOnMs = motorOn ? before.pumpOnMs + motorMs : 0;
	const dryMs = motorOn ? before.noFlowMs + motorMs : 0;
	const offMs = motorOn ? 0 : before.offMs + elapsedMs;
	const { last } = before;
	const count = fresh(reading);
	if (typeof count !== "number") {
		// The board's count goes on meanwhile: what it has counted is added when it is heard again.
		const state = { ...before, flowLph: count, noFlowMs: dryMs, pumpOnMs, offMs };
		return { state, pulses: 0, motorMs };
	}
	const now = { count, atMs: nowMs };
	// A count that went back is a board that started anew: nothing is known of the pulses between.
	if (last === null || count < last.count) {
		const anew = { last: now, blockMs: nowMs, blockPulses: 0, measuredLph: 0, flowLph: 0 };
		const times = { noFlowMs: dryMs, pumpOnMs, offMs, siphonLitres: 0 };
		return { state: { ...anew, ...times }, pulses: 0, motorMs };
	}
	const pulses = count - last.count;
	if (pulses > pulsesMax(rig, nowMs - last.atMs)) {
		const odd = { ...before, last: now, blockMs: nowMs, blockPulses: 0 };
		const flowLph = "out-of-range" as const;
		return { state: { ...odd, flowLph, noFlowMs: dryMs, pumpOnMs, offMs }, pulses: 0, motorMs };
	}
	const blockMs = nowMs - before.blockMs;
	const blockPulses = before.blockPulses + pulses;
	const isWhole = blockMs >= BLOCK_MS;
	// What was counted while nothing was heard may be the run's last litre: no siphon by itself.
	const siphoned = nowMs - last.atMs > BLOCK_MS ? 0 : pulses;
	const measuredLph = isWhole ? flowLphOf(blockPulses, blockMs, rig) : before.measuredLph;
	// Written out field by field: spreading one state into the next takes ten times as long.
	const state = {
		last: now,
		blockMs: isWhole ? nowMs : before.blockMs,
		blockPulses: isWhole ? 0 : blockPulses,
		measuredLph,
		flowLph: measuredLph,
		noFlowMs: pulses > 0 ? 0 : dryMs,
		pumpOnMs,
		offMs,
		siphonLitres: siphonOf(before.siphonLitres, siphoned, offMs, elapsedMs, rig),
	};
	return { state, pulses, motorMs };
}

/** Pulses after the stop are the flow running out, ms. */
const RUN_OUT_MS = 5_000;
const SIPHON_LITRES_MAX = 0.1;

function siphonOf(
	before: number,
	pulses: number,
	offMs: number,
	elapsedMs: number,
	{ meter, setpoints }: Rig,
): number {
	if (offMs <= RUN_OUT_MS || (pulses === 0 && before === 0)) return 0;
	const passes = (setpoints.siphonLph * elapsedMs) / 3_600_000;
	return Math.min(SIPHON_LITRES_MAX, Math.max(0, before + pulses / meter.pulsesPerLitre - passes));
}

function flowLphOf(pulses: number, inMs: number, rig: Rig): number {
	const litres = pulses / rig.meter.pulsesPerLitre;
	return (litres * 3_600_000) / inMs;
}

/** More pulses than this in that time nobody's pump gives; two more for the edges of the time. */
function pulsesMax(rig: Rig, elapsedMs: number): number {
	const litresMax = (PLAUSIBLE * rig.pump.freeFlowLph * elapsedMs) / 3_600_000;
	return litresMax * rig.meter.pulsesPerLitre + 2;
}
