// Limits of the check before a passage, and after how many days a tank is due again: common
// practice, no source. Defaults that options of the command change. Imports nothing: the command's
// help shows them.

export interface ReadyLimits {
	/** Of a tank's fuel through the filter since fuel was last bought for it. */
	readonly turnoversMin: number;
	/** Since it was last polished or swept. */
	readonly standingDaysMax: number;
	/** Share of what the element holds that it still takes, at the low end of the forecast, %. */
	readonly elementLeftPctMin: number;
	readonly sparesMin: number;
	/** How long fuel that was stirred stands before an engine draws from it, h. */
	readonly standHoursMin: number;
	/** Drained and not handed in. */
	readonly wasteMlMax: number;
}

export const READY_LIMITS: ReadyLimits = {
	turnoversMin: 3,
	standingDaysMax: 30,
	elementLeftPctMin: 20,
	sparesMin: 1,
	standHoursMin: 12,
	wasteMlMax: 0,
};

/** Days after what happened to a tank; those of standing and turnovers are the limits above. */
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
