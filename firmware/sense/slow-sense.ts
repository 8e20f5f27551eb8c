// What changes slowly, read twice a second: levels, temperatures, the tap before the element, and
// what the vacuum of the last second says. The I2C converter comes round no faster than that.

import type { Readings } from "../board/port.ts";
import type { Rig } from "../config/rig.ts";
import type { Reader } from "./channels.ts";
import { type LevelWatch, movedShare, NO_LEVEL, watchLevel } from "./level-watch.ts";
import type { Moment, Quantity } from "./quantity.ts";
import { LEVEL_RATE, limitRate, type Rated, TEMPERATURE_RATE, UNRATED } from "./rate.ts";
import type { Sensed } from "./sensed.ts";
import { volumeShare } from "./tank-level.ts";
import { lieOf } from "./vacuum-lies.ts";
import type { VacuumBlocks } from "./vacuum-trend.ts";

const EVERY_MS = 500;

export interface SlowReaders {
	readonly bowlTap: Reader<Quantity>;
	readonly levelFrom: Reader<Quantity>;
	readonly levelTo: Reader<Quantity>;
	readonly fuel: Reader<Quantity>;
	readonly motorCase: Reader<Quantity>;
}

export type SlowSensed = Pick<
	Sensed,
	| "bowlTapKpa"
	| "levelFrom"
	| "levelTo"
	| "fuelC"
	| "caseC"
	| "fromMoved"
	| "toMoved"
	| "levelGap"
	| "toLevel"
	| "vacuumRiseKpa"
	| "pumpingVacuumKpa"
	| "vacuumGainKpa"
	| "vacuumLies"
>;

export interface SlowState {
	readonly atMs: number;
	readonly from: LevelWatch;
	readonly to: LevelWatch;
	/** How fast each changes: levels, shares of the depth, and °C. */
	readonly rates: {
		readonly from: Rated;
		readonly to: Rated;
		readonly fuelC: Rated;
		readonly caseC: Rated;
	};
	readonly sensed: SlowSensed;
}

export const slowAtBoot = (nowMs: number): SlowState => ({
	// Due at the first tick.
	atMs: nowMs - EVERY_MS,
	from: NO_LEVEL,
	to: NO_LEVEL,
	rates: { from: UNRATED, to: UNRATED, fuelC: UNRATED, caseC: UNRATED },
	sensed: {
		bowlTapKpa: "not-fitted",
		levelFrom: "not-fitted",
		levelTo: "not-fitted",
		fuelC: "not-fitted",
		caseC: "not-fitted",
		fromMoved: null,
		toMoved: null,
		levelGap: null,
		toLevel: null,
		vacuumRiseKpa: null,
		pumpingVacuumKpa: null,
		vacuumGainKpa: null,
		vacuumLies: null,
	},
});

/** @returns the same object until it is due */
export function senseSlowly(
	rig: Rig,
	readers: SlowReaders,
	before: SlowState,
	readings: Readings,
	vacuum: VacuumBlocks,
	{ nowMs, motorOn, polishing, run, tank, toTank }: Moment,
): SlowState {
	const elapsedMs = nowMs - before.atMs;
	if (elapsedMs < EVERY_MS) return before;
	const own = rig.tanks.find(({ name }) => name === tank);
	const other = rig.tanks.find(({ name }) => name === (toTank ?? tank));
	const was = before.rates;
	const rates = {
		from: limitRate(was.from, readers.levelFrom(readings), elapsedMs, LEVEL_RATE),
		to: limitRate(was.to, readers.levelTo(readings), elapsedMs, LEVEL_RATE),
		fuelC: limitRate(was.fuelC, readers.fuel(readings), elapsedMs, TEMPERATURE_RATE),
		caseC: limitRate(was.caseC, readers.motorCase(readings), elapsedMs, TEMPERATURE_RATE),
	};
	const pumpedFor = polishing && motorOn ? run : null;
	// Depths are smoothed: what volume they stand for is another with each order's tank.
	const from = watchLevel(before.from, rates.from.value, pumpedFor, elapsedMs);
	const to = watchLevel(before.to, rates.to.value, pumpedFor, elapsedMs);
	const toVolume = inVolume(to.share, other);
	const { pumpingKpa: pumping, settledKpa } = vacuum;
	const sensed: SlowSensed = {
		bowlTapKpa: readers.bowlTap(readings),
		levelFrom: inVolume(rates.from.value, own),
		levelTo: inVolume(rates.to.value, other),
		fuelC: rates.fuelC.value,
		caseC: rates.caseC.value,
		fromMoved: movedShare(from, run, own),
		toMoved: movedShare(to, run, other),
		levelGap: gapOf(from, to, own, other),
		toLevel: typeof toVolume === "number" ? toVolume : null,
		vacuumRiseKpa: vacuum.riseKpa,
		pumpingVacuumKpa: pumping,
		// Against this stretch's own beginning: whoever acknowledged has opened the filler.
		vacuumGainKpa: pumping === null || settledKpa === null ? null : pumping - settledKpa,
		vacuumLies: lieOf(vacuum, rig),
	};
	return { atMs: nowMs, from, to, rates, sensed };
}

type Tank = Rig["tanks"][number] | undefined;

function inVolume(depth: Quantity, tank: Tank): Quantity {
	return typeof depth === "number" ? volumeShare(tank, depth) : depth;
}

/** Smoothed level under the tube less that under the return, shares of the volume. */
function gapOf(
	{ share: from }: LevelWatch,
	{ share: to }: LevelWatch,
	own: Tank,
	ownTo: Tank,
): number | null {
	const areKnown = typeof from === "number" && typeof to === "number";
	return areKnown ? volumeShare(own, from) - volumeShare(ownTo, to) : null;
}
