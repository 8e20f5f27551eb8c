// After how many days a tank is due again, by what happened to it: common practice, no source.
// Defaults that options of the command change; those of standing and turnovers are the limits of
// the check before a passage. The command's help shows them.

import { READY_LIMITS, type ReadyLimits } from "./ready-limits.ts";

export interface DueLimits {
	/** After fuel was bought that has not been through the filter often enough since. */
	readonly upliftDays: number;
	/** After water stopped a run, unless a sample has looked clear since. */
	readonly waterDays: number;
	/** After a dose: dead growth comes loose. */
	readonly doseDays: number;
}

export const DUE_LIMITS: DueLimits = { upliftDays: 7, waterDays: 7, doseDays: 3 };

export type SeasonLimits = ReadyLimits & DueLimits;

export const SEASON_LIMITS: SeasonLimits = { ...READY_LIMITS, ...DUE_LIMITS };
