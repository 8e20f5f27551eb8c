// Arming: an unattended plan runs only after a person at the rig has looked at it and held the
// box's button. It lapses when the rig may have been moved, when the supply was away, at another
// tank, and after a day. Attending: who stays at the rig says so again from time to time. Pure.

import type { Rig } from "../config/rig.ts";
import type { FindingName } from "../sense/finding-names.ts";
import type { Present } from "./events.ts";

export interface Arming {
	readonly atMs: number;
	/** The tank of the first order since; null before it. */
	readonly tank: string | null;
	/** The one that its return hangs in, where that is another. */
	readonly toTank: string | null;
}

/** What ends an arming when it is found, in words. */
const ENDS: ReadonlyArray<readonly [FindingName, string]> = [
	["supplyGone", "the isolator was opened or the supply was away"],
	["returnOut", "the return was unlocked"],
	["tubeOut", "the tube was taken off"],
];

/** Why the arming ends in this tick, or null while it holds. */
export function lapseOf(
	arming: Arming,
	isFound: (name: FindingName) => boolean,
	rig: Rig,
	nowMs: number,
): string | null {
	for (const [name, words] of ENDS) if (isFound(name)) return words;
	const { armedHoursMax } = rig.setpoints;
	const isOld = nowMs - arming.atMs >= armedHoursMax * 3_600_000;
	return isOld ? `it was armed ${armedHoursMax} h ago` : null;
}

/** What the set-up check finds against leaving the rig alone; empty when it may be armed. */
export function armingBlockers(present: Present): string[] {
	const { unknown, unknownOptional, blockers, gaps, commissioned, logFailed } = present;
	const reasons = [...gaps, ...blockers];
	if (!commissioned) reasons.push("the rig is not commissioned");
	if (present.stop !== "made") reasons.push("the stop button is not released");
	if (present.probe !== "dry") reasons.push(`the water probe reads ${present.probe}`);
	const silent = [...unknown, ...unknownOptional];
	if (silent.length > 0) reasons.push(`unknown: ${silent.join(", ")}`);
	if (logFailed) reasons.push("the log has failed");
	return reasons;
}

/** Why an unattended order lacks its arming, or null. */
export function armingGap(
	arming: Arming | null,
	{ tank, toTank }: { tank: string; toTank: string | null },
): string | null {
	if (arming === null) return "the plan is not armed at the rig";
	if (arming.tank === null) return null;
	if (arming.tank === tank && arming.toTank === toTank) return null;
	const armedFor = tanksOf(arming.tank, arming.toTank);
	return `the plan is armed for ${armedFor}: set up and arm again for ${tanksOf(tank, toTank)}`;
}

const tanksOf = (tank: string, toTank: string | null) =>
	toTank === null ? tank : `${tank} into ${toTank}`;

/** The horn asks so long before who attends counts as gone, ms. */
export const ASKS_BEFORE_MS = 60_000;

/** Why an attended order counts as attended no more, or null. */
export function attendanceGap(confirmedMs: number, rig: Rig, nowMs: number): string | null {
	const minutes = rig.setpoints.confirmMinutesMax;
	const isOld = nowMs - confirmedMs >= minutes * 60_000;
	return isOld ? `nobody pressed the box's button for ${minutes} min` : null;
}
