// Vacuum over time, in blocks of one second: how it stands now, how far it has risen, what it was
// before the pump ran and when the run had settled, and how rough it is. From these come a tube
// that is drawn to a wall, a vent that is blocked, and a transducer that lies. Pure, plain JSON.

import type { Moment, Quantity } from "./quantity.ts";

const BLOCK_MS = 1_000;
/** Seconds are gathered in tens, of which the highest is kept for a minute. */
const TEN = 10;
const PEAKS = 7;
/** The run has settled after so long with fuel, ms. */
const SETTLED_MS = 30_000;
/** Roughness forgets within some seconds. */
const ROUGH_GAIN_PER_MS = 1 / 5_000;

/** What changes once a second. */
export interface VacuumBlocks {
	/** When the last block ended. */
	readonly atMs: number;
	/** Mean of the last block with fuel, kPa; null while none is pumped. */
	readonly pumpingKpa: number | null;
	/** Blocks of the ten under way, and the highest of them, kPa. */
	readonly inTen: number;
	readonly highestKpa: number;
	/** The highest of each full ten, newest last, kPa. */
	readonly peaks: readonly number[];
	/** Mean of the last block with the motor off, kPa; null before there was one. */
	readonly restKpa: number | null;
	/** Time with the motor off, and with fuel since the last prime, as of the block's end, ms. */
	readonly offMs: number;
	readonly pumpingMs: number;
	/** Mean when this stretch had settled, kPa; null before. */
	readonly settledKpa: number | null;
	/** Mean difference from tick to tick, kPa. */
	readonly roughKpa: number;
	/**
	 * How far the last second stands above all of the minute that ended ten seconds ago or more, kPa;
	 * null without enough of it. Gulps of air drop the vacuum and give it back: that is no rise.
	 */
	readonly riseKpa: number | null;
}

export interface VacuumTrend {
	readonly blocks: VacuumBlocks;
	/** Of the block under way. */
	readonly sum: number;
	readonly count: number;
	readonly offMs: number;
	readonly pumpingMs: number;
	readonly lastKpa: number;
	readonly roughKpa: number;
}

const NO_BLOCKS: VacuumBlocks = {
	atMs: 0,
	pumpingKpa: null,
	inTen: 0,
	highestKpa: 0,
	peaks: [],
	restKpa: null,
	offMs: 0,
	pumpingMs: 0,
	settledKpa: null,
	roughKpa: 0,
	riseKpa: null,
};

export const NO_TREND: VacuumTrend = {
	blocks: NO_BLOCKS,
	sum: 0,
	count: 0,
	offMs: 0,
	pumpingMs: 0,
	lastKpa: 0,
	roughKpa: 0,
};

/** @returns the same object while the transducer says nothing */
export function followVacuum(
	before: VacuumTrend,
	vacuumKpa: Quantity,
	moment: Moment,
): VacuumTrend {
	if (typeof vacuumKpa !== "number") return NO_TREND;
	const { nowMs, elapsedMs, motorOn, polishing } = moment;
	const isFirst = before === NO_TREND || before.count + before.blocks.atMs === 0;
	const step = isFirst ? 0 : Math.abs(vacuumKpa - before.lastKpa);
	const sum = before.sum + vacuumKpa;
	const count = before.count + 1;
	const offMs = motorOn ? 0 : before.offMs + elapsedMs;
	const pumpingMs = polishing && motorOn ? before.pumpingMs + elapsedMs : 0;
	const gain = Math.min(1, elapsedMs * ROUGH_GAIN_PER_MS);
	const roughKpa = before.roughKpa + (step - before.roughKpa) * gain;
	const isWhole = nowMs - before.blocks.atMs >= BLOCK_MS;
	if (!isWhole) {
		const { blocks } = before;
		return { blocks, sum, count, offMs, pumpingMs, lastKpa: vacuumKpa, roughKpa };
	}
	const mean = sum / count;
	const blocks = endBlock(before.blocks, mean, moment, { offMs, pumpingMs, roughKpa });
	return { blocks, sum: 0, count: 0, offMs, pumpingMs, lastKpa: vacuumKpa, roughKpa };
}

function endBlock(
	before: VacuumBlocks,
	mean: number,
	{ nowMs }: Moment,
	now: Pick<VacuumTrend, "offMs" | "pumpingMs" | "roughKpa">,
): VacuumBlocks {
	const { pumpingMs } = now;
	const isPumping = pumpingMs >= BLOCK_MS;
	const begins = before.inTen === 0 || before.inTen === TEN;
	const highestKpa = begins ? mean : Math.max(before.highestKpa, mean);
	const isTen = before.inTen === TEN;
	const peaks = !isPumping
		? NO_BLOCKS.peaks
		: isTen
			? [...before.peaks, before.highestKpa].slice(-PEAKS)
			: before.peaks;
	const settles = pumpingMs >= SETTLED_MS && before.settledKpa === null;
	// Written out field by field: spreading takes many times as long.
	return {
		offMs: now.offMs,
		pumpingMs,
		roughKpa: now.roughKpa,
		atMs: nowMs,
		pumpingKpa: isPumping ? mean : null,
		inTen: !isPumping ? 0 : isTen ? 1 : before.inTen + 1,
		highestKpa,
		peaks,
		restKpa: now.offMs >= 2 * BLOCK_MS ? mean : before.restKpa,
		settledKpa: pumpingMs === 0 ? null : settles ? mean : before.settledKpa,
		riseKpa: isPumping ? riseOver(peaks, mean) : null,
	};
}

/** Over all full tens but the last, which may hold the rise itself. */
function riseOver(peaks: readonly number[], mean: number): number | null {
	if (peaks.length < 2) return null;
	let highest = Number.NEGATIVE_INFINITY;
	for (let i = 0; i < peaks.length - 1; i += 1) highest = Math.max(highest, peaks[i] ?? mean);
	return mean - highest;
}
