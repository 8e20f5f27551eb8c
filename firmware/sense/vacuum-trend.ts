// Vacuum over time, in blocks of one second: how it stands now, how far it has risen, what it was
// before the pump ran and when the run had settled, and how rough it is. From these come a tube
// that is drawn to a wall, a vent that is blocked, and a transducer that lies. Pure, plain JSON.

import type { Moment, Quantity } from "./quantity.ts";

const BLOCK_MS = 1_000;
/** The last ten seconds are judged against the minute before them. */
const RECENT = 10;
const BLOCKS = RECENT + 60;
/** Before so many blocks of pumping there is nothing to judge against. */
const HISTORY = RECENT + 15;
/** The run has settled after so long with fuel, ms. */
const SETTLED_MS = 30_000;
/** Roughness forgets within some seconds: share a tick of 100 ms. */
const ROUGH_GAIN_PER_MS = 1 / 5_000;

export interface VacuumTrend {
	readonly blockMs: number;
	readonly sum: number;
	readonly count: number;
	/** Means of the blocks since fuel was proven, newest last, kPa. */
	readonly means: readonly number[];
	/** Mean of the last block with the motor off, kPa; null before there was one. */
	readonly restKpa: number | null;
	readonly offMs: number;
	/** Time with fuel since the last prime, ms. */
	readonly pumpingMs: number;
	/** Mean when this stretch had settled, kPa; null before. */
	readonly settledKpa: number | null;
	/** The first settled mean of this order, kPa. */
	readonly runKpa: number | null;
	readonly run: string | null;
	readonly lastKpa: number | null;
	/** Mean difference from tick to tick, kPa. */
	readonly roughKpa: number;
}

export const NO_TREND: VacuumTrend = {
	blockMs: 0,
	sum: 0,
	count: 0,
	means: [],
	restKpa: null,
	offMs: 0,
	pumpingMs: 0,
	settledKpa: null,
	runKpa: null,
	run: null,
	lastKpa: null,
	roughKpa: 0,
};

export function followVacuum(
	before: VacuumTrend,
	vacuumKpa: Quantity,
	{ nowMs, elapsedMs, motorOn, polishing, run }: Moment,
): VacuumTrend {
	if (typeof vacuumKpa !== "number") {
		return before === NO_TREND ? before : NO_TREND;
	}
	const step = before.lastKpa === null ? 0 : Math.abs(vacuumKpa - before.lastKpa);
	const gain = Math.min(1, elapsedMs * ROUGH_GAIN_PER_MS);
	const sum = before.sum + vacuumKpa;
	const count = before.count + 1;
	const offMs = motorOn ? 0 : before.offMs + elapsedMs;
	const pumpingMs = polishing && motorOn ? before.pumpingMs + elapsedMs : 0;
	const isWhole = nowMs - before.blockMs >= BLOCK_MS;
	const mean = sum / count;
	const wasPumping = pumpingMs >= BLOCK_MS;
	const means = !polishing
		? NO_TREND.means
		: isWhole && wasPumping
			? [...before.means, mean].slice(-BLOCKS)
			: before.means;
	const settledNow = isWhole && pumpingMs >= SETTLED_MS && before.settledKpa === null;
	const settledKpa = pumpingMs === 0 ? null : settledNow ? mean : before.settledKpa;
	const isNewRun = settledNow && run !== null && run !== before.run;
	return {
		blockMs: isWhole ? nowMs : before.blockMs,
		sum: isWhole ? 0 : sum,
		count: isWhole ? 0 : count,
		means,
		restKpa: isWhole && offMs >= 2 * BLOCK_MS ? mean : before.restKpa,
		offMs,
		pumpingMs,
		settledKpa,
		runKpa: isNewRun ? mean : before.runKpa,
		run: isNewRun ? run : before.run,
		lastKpa: vacuumKpa,
		roughKpa: before.roughKpa + (step - before.roughKpa) * gain,
	};
}

/**
 * How far the last second stands above all of the minute that ended ten seconds ago, kPa; null
 * without enough of it. Gulps of air drop the vacuum and give it back: that is no rise.
 */
export function riseKpa({ means }: VacuumTrend): number | null {
	const now = means.at(-1);
	if (now === undefined || means.length < HISTORY) return null;
	let highest = Number.NEGATIVE_INFINITY;
	for (let i = 0; i < means.length - RECENT; i += 1) highest = Math.max(highest, means[i] ?? now);
	return now - highest;
}

/** The last second's mean while fuel is pumped, kPa; null otherwise. */
export function pumpingKpa({ means }: VacuumTrend): number | null {
	return means.at(-1) ?? null;
}
