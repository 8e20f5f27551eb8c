// How long the pump has run dry in the last five minutes, outside of priming. Dry is a pause
// between pulses far longer than any at a flow that proves fuel; a pause that turns out so long
// counts from its beginning. Kept in buckets of ten seconds, so that the sum forgets at most ten
// seconds early.

import type { Rig } from "../config/rig.ts";
import type { Moment } from "./quantity.ts";

const BUCKET_MS = 10_000;
const BUCKETS = 30;

export interface DryBudget {
	/** Number of the newest bucket since boot. */
	readonly bucket: number;
	/** Dry time of the last buckets, newest first, ms; empty while there was none. */
	readonly dryMs: readonly number[];
}

export const NO_DRY: DryBudget = { bucket: 0, dryMs: [] };

/** @param noFlowMs motor time since the last pulse, of this tick  @param motorMs of this tick */
export function countDry(
	before: DryBudget,
	rig: Rig,
	noFlowMs: number,
	motorMs: number,
	{ nowMs, polishing }: Moment,
): DryBudget {
	const pauseMs = pauseOf(rig);
	const isDry = polishing && noFlowMs > pauseMs;
	if (!isDry && before.dryMs.length === 0) return before;
	const bucket = Math.floor(nowMs / BUCKET_MS);
	const shift = before.dryMs.length === 0 ? BUCKETS : Math.min(BUCKETS, bucket - before.bucket);
	if (shift === 0 && !isDry) return before;
	const kept = [...Array<number>(shift).fill(0), ...before.dryMs].slice(0, BUCKETS);
	// The tick that finds the pause too long counts all of it, the later ones their own time.
	const isFirst = noFlowMs - motorMs <= pauseMs;
	if (isDry) kept[0] = (kept[0] ?? 0) + (isFirst ? noFlowMs : motorMs);
	return kept.some((ms) => ms > 0) ? { bucket, dryMs: kept } : NO_DRY;
}

export function dryMsOf({ dryMs }: DryBudget): number {
	let sum = 0;
	for (const ms of dryMs) sum += ms;
	return sum;
}

/** Twice the pause between pulses at the flow that proves fuel, ms. */
function pauseOf(rig: Rig): number {
	return (2 * 3_600_000) / (rig.setpoints.primedFlowLph * rig.meter.pulsesPerLitre);
}
