// A tank's vent that is blocked: vacuum that grows as the tank empties, by more than the level's
// fall explains and by no more than the air can do that is shut in over the fuel. Pure.

import type { Rig } from "../config/rig.ts";
import { KPA_PER_METRE } from "./fuel.ts";
import type { Sensed } from "./sensed.ts";

/** The level must have moved so far before vacuum is laid to the vent, share; and vacuum, kPa. */
export const VENT_MOVED = 0.004;
const VENT_KPA = 3;
/** Least room over the fuel that is reckoned with, share; and what level and gauge may err by. */
const VENT_ROOM = 0.04;
const VENT_SURE = 2;
const ATMOSPHERE_KPA = 101.325;

/** @returns null while the level or the vacuum says nothing */
export function isVentBlocked(
	{ fromMoved, levelFrom, vacuumGainKpa }: Sensed,
	tank: Rig["tanks"][number] | undefined,
): boolean | null {
	if (fromMoved === null || vacuumGainKpa === null) return null;
	if (typeof levelFrom !== "number") return null;
	const liftKpa = (-fromMoved * (tank?.depthMm ?? 0) * KPA_PER_METRE) / 1000;
	const gainKpa = vacuumGainKpa - liftKpa;
	// Air that is shut in thins as its room grows (Boyle's law): more is not the vent's doing.
	const thinnedKpa = (ATMOSPHERE_KPA * -fromMoved) / Math.max(VENT_ROOM, 1 - levelFrom);
	return fromMoved < -VENT_MOVED && gainKpa > VENT_KPA && gainKpa < VENT_SURE * thinnedKpa;
}
