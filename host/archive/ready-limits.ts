// Limits of the check before a passage: common practice, no source. Defaults that options of the
// command change. Imports nothing: the command's help shows them.

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
