// Where everything stands in the picture of a run: a landscape sheet of A4's proportions, 4 units a
// millimetre, one time axis for all of it. Type is 7 points and lines half a point at least when it
// is printed on that sheet. Imports the report's SVG.

import { clock } from "./account.ts";
import { lineFrom, type Point, textAt } from "./svg.ts";

export const SHEET = { width: 1_188, height: 840 } as const;
/** A point is 0.353 mm: 7 of them are 9.9 units, half of one is 0.7. */
export const TYPE = { small: 10.5, plain: 11.5, heading: 12.5, title: 20 } as const;
export const HAIR = 0.75;
/** Of the plot; to its right the limits' names, and then the list of what happened. */
export const PLOT = { left: 92, right: 806 } as const;
export const LIST = { left: 916, right: 1_172, top: 96, bottom: 596 } as const;
export const LEGEND_TOP = 622;
export const LANES = {
	top: 84,
	height: 16.5,
	order: ["weather", "crew", "faults", "trips", "orders"],
} as const;
export const BAND = { top: 170, height: 22 } as const;
export const PANELS = { top: 214, height: 88, step: 115, count: 5 } as const;
/** Foot of the lowest panel, where the time axis stands. */
export const FOOT = PANELS.top + (PANELS.count - 1) * PANELS.step + PANELS.height;

const STEPS_S = [
	...[1, 2, 5, 10, 15, 30],
	...[60, 120, 300, 600, 900, 1_800],
	...[3_600, 7_200, 10_800, 21_600, 43_200, 86_400],
];
const LABELS_MAX = 9;

export interface TimeScale {
	readonly endMs: number;
	readonly x: (ms: number) => number;
}

export function timeScale(endMs: number): TimeScale {
	const { left, right } = PLOT;
	const span = Math.max(endMs, 1);
	const x = (ms: number) => left + ((right - left) * Math.min(Math.max(ms, 0), span)) / span;
	return { endMs: span, x };
}

/** At most so many times that a clock would show, ms. */
export function timeTicks(endMs: number): number[] {
	const fits = (stepS: number) => endMs / 1000 / stepS <= LABELS_MAX;
	// Beyond the longest step: whole days, as many as it takes.
	const days = Math.ceil(endMs / 86_400_000 / LABELS_MAX);
	const stepS = STEPS_S.find(fits) ?? days * 86_400;
	const count = Math.floor(endMs / 1000 / stepS);
	return Array.from({ length: count + 1 }, (_, i) => i * stepS * 1000);
}

/** Under the lowest panel. */
export function timeAxis({ endMs, x }: TimeScale): string[] {
	return [
		...timeTicks(endMs).flatMap((ms) => [
			lineFrom([x(ms), FOOT], [x(ms), FOOT + 5], { stroke: "#000", "stroke-width": HAIR }),
			textAt([x(ms), FOOT + 18], clock(ms), { "text-anchor": "middle", "font-size": TYPE.plain }),
		]),
		textAt([(PLOT.left + PLOT.right) / 2, FOOT + 36], "Time from the start, h:mm:ss", {
			"text-anchor": "middle",
			"font-size": TYPE.plain,
		}),
	];
}

/** A name left of the plot, its baseline at `y`. */
export function nameAt(y: number, words: string): string {
	const at: Point = [PLOT.left - 8, y];
	return textAt(at, words, { "text-anchor": "end", "font-size": TYPE.plain });
}
