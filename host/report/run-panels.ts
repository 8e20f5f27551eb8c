// The panels of a run's picture: flow, vacuum, water in the bowl, motor current, supply. The truth
// is a thin black outline, what was sensed a broad pale band behind it, and where nothing was known
// a hatch stands in place of any number. Imports the frame.

import type { Rig } from "../../firmware/config/rig.ts";
import type { Extremes, RunTrace, TracedName } from "../../sim/bench/run-trace.ts";
import { HAIR, PANELS, PLOT, type TimeScale, TYPE } from "./run-frame.ts";
import {
	lineFrom,
	type Point,
	polygon,
	polyline,
	shape,
	textAt,
	textWidth,
	ticksBetween,
} from "./svg.ts";

export const SENSED = "#9cc4e8";
/** Under the outline of the truth, so that the two are told apart by width. */
const SENSED_WIDTH = 3.2;
const TRUTH_WIDTH = 0.9;
const LIMIT_DASH = "6 4";
/** A gap is drawn at least so wide, units. */
const GAP_MIN = 2;
/** A limit further off than so many times what was seen is left out. */
const LIMIT_REACH = 2.2;
/** Noise about 0 does not open the axis downwards: so much of the most is below it. */
const BELOW_SHARE = 0.06;

interface Limit {
	readonly at: number;
	readonly words: string;
	/** The panel is as high as it, whatever was seen. */
	readonly isShown?: boolean;
}

interface Panel {
	readonly name: TracedName;
	readonly heading: string;
	readonly unit: string;
	readonly limits: readonly Limit[];
	/** Its axis begins where the values do. */
	readonly isFloating?: boolean;
}

const round = (value: number, digits = 2): string => String(Number(value.toFixed(digits)));

function panelsOf({ setpoints, bowl, pump }: Rig): Panel[] {
	const amps = (percent: number) => (pump.runningAmps * percent) / 100;
	const limit = (at: number, words: string): Limit => ({ at, words: `${words} ${round(at)}` });
	const { primedFlowLph, dryFlowLph, vacuumStopKpa, overcurrentPct, noCurrentPct } = setpoints;
	const { supplyFloorVolts } = setpoints;
	const volts = (of12: number) => (of12 * pump.ratedVolts) / 12;
	const probe = limit(bowl.sumpToProbeMl, "probe");
	return [
		{
			name: "flowLph",
			heading: "Flow: fuel through the pump, and what the meter said",
			unit: "L/h",
			limits: [limit(primedFlowLph, "proves fuel"), limit(dryFlowLph, "dry below")],
		},
		{
			name: "vacuumKpa",
			heading: "Vacuum at the pump's inlet",
			unit: "kPa",
			limits: [limit(vacuumStopKpa, "stops above")],
		},
		{
			name: "bowlWaterMl",
			heading: "Bowl level: water in the bowl, and whether the probe said wet",
			unit: "mL",
			limits: [
				{ ...probe, isShown: true },
				limit(bowl.sumpToProbeMl + bowl.probeToCarryoverMl, "to element"),
			],
		},
		{
			name: "motorAmps",
			heading: "Motor current",
			unit: "A",
			limits: [limit(amps(overcurrentPct), "too much"), limit(amps(noCurrentPct), "too little")],
		},
		{
			name: "supplyVolts",
			heading: "Supply at the pump",
			unit: "V",
			limits: [{ ...limit(volts(supplyFloorVolts), "stops below"), isShown: true }],
			isFloating: true,
		},
	];
}

interface Scale {
	readonly top: number;
	readonly bottom: number;
	readonly min: number;
	readonly max: number;
	readonly y: (value: number) => number;
}

const numbers = ({ min, max }: Extremes): number[] =>
	[...min, ...max].filter((value) => value !== null);

function scaleOf(panel: Panel, trace: RunTrace, index: number): Scale {
	const { name, limits } = panel;
	const sensed = name === "bowlWaterMl" ? [] : numbers(trace.sensed[name]);
	const seen = [...numbers(trace.truth[name]), ...sensed];
	// Not by spreading: a long run has more values than a call may have arguments.
	let [least, most] = panel.isFloating === true ? [Infinity, -Infinity] : [0, 0];
	for (const value of seen) {
		least = Math.min(least, value);
		most = Math.max(most, value);
	}
	for (const { at, isShown } of limits) {
		if (isShown === true || most === 0 || at <= LIMIT_REACH * most) most = Math.max(most, at);
		if (isShown === true) least = Math.min(least, at);
	}
	const space = 0.06 * (most - least);
	const max = most + space || 1;
	const isBelow = panel.isFloating === true || least < -BELOW_SHARE * max;
	const min = isBelow ? least - space : 0;
	const top = PANELS.top + index * PANELS.step;
	const bottom = top + PANELS.height;
	// What is left of noise below an axis that begins at 0 lies on it.
	const y = (value: number) =>
		bottom - (PANELS.height * (Math.max(min, value) - min)) / (max - min);
	return { top, bottom, min, max, y };
}

/** Stretches in a row of which `has` is true, as from and to, the latter not counted. */
export function runsOf<T>(values: readonly T[], has: (value: T) => boolean): [number, number][] {
	const runs: [number, number][] = [];
	values.forEach((value, i) => {
		if (!has(value)) return;
		const last = runs.at(-1);
		if (last?.[1] === i) last[1] = i + 1;
		else runs.push([i, i + 1]);
	});
	return runs;
}

const tenth = (value: number): number => Math.round(value * 10) / 10;

/** Without the points between two others of one height. */
function straightened(points: readonly Point[]): Point[] {
	return points.filter(([, y], i) => points[i - 1]?.[1] !== y || points[i + 1]?.[1] !== y);
}

/** One line where each stretch is a single value, else an outline of the least and the greatest. */
function outlines(
	{ min, max }: Extremes,
	{ y }: Scale,
	edge: (stretch: number) => number,
	attributes: Readonly<Record<string, string | number>>,
	fill: string,
): string[] {
	return runsOf(min, (value) => value !== null).map(([from, to]) => {
		const along = (values: ReadonlyArray<number | null>): Point[] => {
			const at = (i: number) => tenth(y(values[i] ?? 0));
			const middles = Array.from({ length: to - from }, (_, i): Point => {
				const stretch = from + i;
				return [tenth((edge(stretch) + edge(stretch + 1)) / 2), at(stretch)];
			});
			const ends = [[tenth(edge(from)), at(from)] as const, [tenth(edge(to)), at(to - 1)] as const];
			return straightened([ends[0] as Point, ...middles, ends[1] as Point]);
		};
		const [low, high] = [along(min), along(max)];
		const isLine = low.every(([x, at], i) => high[i]?.[0] === x && high[i]?.[1] === at);
		if (isLine) return polyline(low, { ...attributes, "stroke-linejoin": "round" });
		return polygon([...high, ...low.reverse()], {
			...attributes,
			fill,
			"stroke-linejoin": "round",
		});
	});
}

const unknownWords: Readonly<Record<string, string>> = {
	"not-fitted": "no such sensor",
	stale: "stale",
	open: "wire open",
	short: "wire shorted",
	"out-of-range": "out of range",
	unlike: "contradicts itself",
	jumps: "jumps",
	"no tick": "no tick",
};

/** A word in a panel, and where it may stand below the panel's top, units. */
const WORD_HEIGHT = 15;
const WORD_TOPS = [4, 24, 48, PANELS.height - WORD_HEIGHT - 4];

/** Top of a word in a panel, clear of the truth in those stretches where that may be. */
function clearOf(truth: Extremes, { top, y }: Scale, [from, to]: readonly [number, number]) {
	const tops = WORD_TOPS.map((below) => top + below);
	const isClear = (at: number) =>
		truth.max.slice(from, to).every((max, i) => {
			const min = truth.min[from + i];
			if (typeof max !== "number" || typeof min !== "number") return true;
			return y(min) < at - 2 || y(max) > at + WORD_HEIGHT + 2;
		});
	return tops.find(isClear) ?? tops[0] ?? top;
}

function unknowns(
	why: ReadonlyArray<string | null>,
	truth: Extremes,
	scale: Scale,
	edge: (stretch: number) => number,
): { behind: string[]; over: string[] } {
	const { top } = scale;
	const runs = runsOf(why, (word) => word !== null);
	const behind = runs.map(([from, to]) =>
		shape("rect", {
			x: edge(from),
			y: top,
			width: Math.max(GAP_MIN, edge(to) - edge(from)),
			height: PANELS.height,
			fill: "url(#falling)",
		}),
	);
	const over = runs.flatMap(([from, to]) => {
		const word = why[from] ?? "";
		const short = unknownWords[word] ?? word;
		const room = edge(to) - edge(from) - 10;
		const words = [`unknown: ${short}`, short].find((one) => textWidth(one, TYPE.small) <= room);
		if (words === undefined) return [];
		const width = textWidth(words, TYPE.small);
		const x = (edge(from) + edge(to)) / 2;
		const y = clearOf(truth, scale, [from, to]);
		const box = { x: x - width / 2 - 3, y, width: width + 6, height: WORD_HEIGHT, fill: "#fff" };
		return [
			shape("rect", box),
			textAt([x, y + 11], words, { "text-anchor": "middle", "font-size": TYPE.small }),
		];
	});
	return { behind, over };
}

const LABEL_STEP = 12.5;

/** Names of the limits right of the plot, moved apart where they would touch. */
function limitLines(limits: readonly Limit[], { y, max, top, bottom }: Scale): string[] {
	const shown = limits.filter(({ at }) => at <= max).sort((a, b) => b.at - a.at);
	const places: number[] = [];
	for (const { at } of shown) {
		places.push(Math.max(y(at), (places.at(-1) ?? top - LABEL_STEP) + LABEL_STEP));
	}
	const over = Math.max(0, (places.at(-1) ?? bottom) - bottom);
	return shown.flatMap(({ at, words }, i) => [
		lineFrom([PLOT.left, y(at)], [PLOT.right + 4, y(at)], {
			stroke: "#333",
			"stroke-width": HAIR,
			"stroke-dasharray": LIMIT_DASH,
		}),
		textAt([PLOT.right + 8, (places[i] ?? 0) - over + 3.5], words, {
			"font-size": TYPE.small,
			"font-style": "italic",
		}),
	]);
}

function grid({ heading, unit }: Panel, { top, bottom, min, max, y }: Scale): string[] {
	const { left, right } = PLOT;
	const middle = (top + bottom) / 2;
	return [
		textAt([left, top - 7], heading, { "font-size": TYPE.heading, "font-weight": "bold" }),
		...ticksBetween(min, max, 5).flatMap((value) => [
			lineFrom([left, y(value)], [right, y(value)], {
				stroke: value === 0 ? "#888" : "#ddd",
				"stroke-width": HAIR,
			}),
			textAt([left - 6, y(value) + 4], String(value), {
				"text-anchor": "end",
				"font-size": TYPE.plain,
			}),
		]),
		textAt([0, 0], unit, {
			"text-anchor": "middle",
			"font-size": TYPE.plain,
			transform: `translate(${left - 52} ${middle}) rotate(-90)`,
		}),
	];
}

/** The probe's mark is drawn over for as long as the probe reads wet. */
function wetness(
	sensed: Extremes,
	rig: Rig,
	{ y }: Scale,
	edge: (stretch: number) => number,
): string[] {
	const at = y(rig.bowl.sumpToProbeMl);
	return runsOf(sensed.max, (value) => value === 1).map(([from, to]) =>
		wetBox(edge(from), at, Math.max(1, edge(to) - edge(from))),
	);
}

export const wetBox = (x: number, y: number, width: number): string =>
	shape("rect", {
		x,
		y: y - SENSED_WIDTH,
		width,
		height: 2 * SENSED_WIDTH,
		fill: SENSED,
		stroke: "#000",
		"stroke-width": HAIR,
	});

export function panels(rig: Rig, trace: RunTrace, time: TimeScale): string[] {
	const edge = (stretch: number) => time.x(stretch * trace.stretchMs);
	return panelsOf(rig).flatMap((panel, index) => {
		const { name, limits } = panel;
		const scale = scaleOf(panel, trace, index);
		const sensed = trace.sensed[name];
		const { behind, over } = unknowns(sensed.unknown, trace.truth[name], scale, edge);
		const band = { stroke: SENSED, "stroke-width": SENSED_WIDTH };
		return [
			...behind,
			...grid(panel, scale),
			...(name === "bowlWaterMl"
				? wetness(sensed, rig, scale, edge)
				: outlines(sensed, scale, edge, band, SENSED)),
			...limitLines(limits, scale),
			...outlines(
				trace.truth[name],
				scale,
				edge,
				{ stroke: "#000", "stroke-width": TRUTH_WIDTH },
				"none",
			),
			...over,
			polyline(
				[
					[PLOT.left, scale.top],
					[PLOT.left, scale.bottom],
					[PLOT.right, scale.bottom],
				],
				{ stroke: "#000", "stroke-width": 1 },
			),
		];
	});
}
