// The plot of `lees size`: above, what system and pump make of each other; below, the vacuum at the
// pump's inlet against its limits. For the tank that asks most. Black on white, told apart by line
// and mark, so that it prints in grey. Imports sizing.

import type { Rig } from "../../firmware/config/rig.ts";
import { AIR_RELEASE_PA } from "../../sim/physics/steady-point.ts";
import { AS_STATED } from "../sizing/draws.ts";
import type { Sizing } from "../sizing/size-rig.ts";
import { suctionMargins } from "../sizing/suction-margin.ts";
import type { Told } from "../sizing/warnings.ts";
import { lineFrom, type Point, polyline, shape, svgDocument, textAt, ticks } from "./svg.ts";

const WIDTH = 840;
const HEIGHT = 1_040;
const LEFT = 78;
const PLOT_WIDTH = 480;
const PANELS = [
	{ top: 112, height: 390 },
	{ top: 578, height: 390 },
] as const;
const LEGEND_X = LEFT + PLOT_WIDTH + 24;
const SAMPLES = 80;
const LPH = 3.6e6;
/** Size of type times letters that the width holds. */
const TITLE_FITS = 1_080;

type Element = "clean" | "dirty";
const elementWords = { clean: "element clean", dirty: "at change-out" } as const;
/** Season by line: cold is heavy. Element by dashes: change-out is dashed. */
const strokes = {
	cold: { "stroke-width": 2.4 },
	warm: { "stroke-width": 1.1 },
} as const;
const dashes = { clean: {}, dirty: { "stroke-dasharray": "9 5" } } as const;
const PUMP_DASH = "2 4";
const LIMIT_DASH = "12 4 2 4";

interface Scale {
	readonly at: (x: number, y: number) => Point;
	readonly xMax: number;
	readonly yMax: number;
	readonly top: number;
	readonly height: number;
}

interface Curve {
	readonly told: Told;
	readonly element: Element;
	readonly rise: readonly Point[];
	readonly vacuum: readonly Point[];
}

export function sizePlot(rig: Rig, { told, result }: Sizing): string {
	const shown = hardest(told);
	const tank = shown[0]?.asked.tank.name ?? "";
	const freeLph = Math.max(...shown.map(({ worked }) => worked.clean.freeFlowM3s * LPH));
	const xMax = 1.15 * freeLph;
	const curves = shown.flatMap((one) =>
		(["clean", "dirty"] as const).map((element) => curveOf(one, element, xMax)),
	);
	const [above, below] = PANELS;
	const riseMax = 1.1 * Math.max(...curves.map(({ rise }) => rise.at(-1)?.[1] ?? 0));
	const limits = limitsOf(shown);
	const vacuumTop = Math.max(...curves.map(({ vacuum }) => vacuum.at(-1)?.[1] ?? 0));
	const lowLimit = Math.min(...limits.map(({ kpa }) => kpa));
	const vacuumMax = 1.1 * Math.max(vacuumTop, 1.15 * lowLimit);
	const first = scaleOf(above, xMax, riseMax);
	const second = scaleOf(below, xMax, vacuumMax);
	const name = `${rig.rig}${rig.invented ? " (invented)" : ""}`;
	const others = rig.tanks.length > 1 ? `, which asks most of ${rig.tanks.length} tanks` : "";
	const body = [
		shape("rect", { x: 0, y: 0, width: WIDTH, height: HEIGHT, fill: "#fff" }),
		textAt([LEFT, 34], name, {
			"font-size": Math.min(20, TITLE_FITS / name.length),
			"font-weight": "bold",
		}),
		textAt(
			[LEFT, 56],
			`Pump against system, tank ${tank}${others}; filled to ${rig.sizing.fillPct} %.`,
		),
		textAt([LEFT, 75], "Estimates from the rig file, none measured. Bars: p10 to p90 of the flow."),
		textAt([LEFT, above.top - 12], "Pressure that the pump has to make, and makes", {
			"font-weight": "bold",
		}),
		...axes(first, "Pressure difference over the pump, kPa"),
		...curves.map((curve) => systemLine(curve, curve.rise, first)),
		...shown.map((one) => pumpLine(one, first)),
		...marks(curves, first, (curve) => pointOf(curve).risePa / 1e3, true),
		textAt([LEFT, below.top - 12], "Vacuum at the pump's inlet, and what it must not reach", {
			"font-weight": "bold",
		}),
		...axes(second, "Vacuum at the pump's inlet, kPa"),
		...limitLines(limits, second),
		...curves.map((curve) => systemLine(curve, curve.vacuum, second)),
		...marks(curves, second, (curve) => pointOf(curve).vacuumPa / 1e3, false),
		...legend(curves, shown),
		textAt(
			[LEFT, HEIGHT - 14],
			`Seed ${result.seed}, ${result.draws} draws. Local codes and licensed practice come first.`,
			{ "font-size": 11 },
		),
	];
	return svgDocument(WIDTH, HEIGHT, `Sizing of ${name}, tank ${tank}`, body);
}

/** Both seasons of the tank whose margin at change-out is the smallest. */
function hardest(told: readonly Told[]): Told[] {
	const sorted = [...told].sort(
		(a, b) => a.worked.margins.change.kpa - b.worked.margins.change.kpa,
	);
	const tank = sorted[0]?.asked.tank.name;
	return told.filter(({ asked }) => asked.tank.name === tank);
}

function curveOf(told: Told, element: Element, xMax: number): Curve {
	const { asked } = told;
	const conditions = asked.conditions(AS_STATED, element);
	const rise: Point[] = [];
	const vacuum: Point[] = [];
	for (let i = 0; i <= SAMPLES; i += 1) {
		const lph = (xMax * i) / SAMPLES;
		const demand = asked.demandPa(conditions, lph / LPH);
		rise.push([lph, demand.rise / 1e3]);
		vacuum.push([lph, demand.vacuum / 1e3]);
	}
	return { told, element, rise, vacuum };
}

function pointOf({ told, element }: Curve) {
	const { clean, change } = told.worked;
	const point = element === "clean" ? clean : change;
	const { figures } = told.sized;
	const lph = element === "clean" ? figures.flowCleanLph : figures.flowChangeLph;
	const risePa = point.headShare * point.deadHeadPa;
	return { flowLph: point.flowM3s * LPH, risePa, vacuumPa: point.vacuumPa, lph };
}

function scaleOf(panel: (typeof PANELS)[number], xMax: number, yMax: number): Scale {
	const { top, height } = panel;
	const at = (x: number, y: number): Point => [
		LEFT + (PLOT_WIDTH * x) / xMax,
		top + height * (1 - y / yMax),
	];
	return { at, xMax, yMax, top, height };
}

function axes({ at, xMax, yMax, top, height }: Scale, yWords: string): string[] {
	const bottom = top + height;
	const grid = { stroke: "#ccc", "stroke-width": 0.6 };
	const right = LEFT + PLOT_WIDTH;
	const middle = top + height / 2;
	return [
		...ticks(xMax, 8).flatMap((x) => {
			const [px] = at(x, 0);
			return [
				lineFrom([px, top], [px, bottom], grid),
				textAt([px, bottom + 18], String(x), { "text-anchor": "middle" }),
			];
		}),
		...ticks(yMax, 8).flatMap((y) => {
			const [, py] = at(0, y);
			return [
				lineFrom([LEFT, py], [right, py], grid),
				textAt([LEFT - 8, py + 4], String(y), { "text-anchor": "end" }),
			];
		}),
		polyline(
			[
				[LEFT, top],
				[LEFT, bottom],
				[right, bottom],
			],
			{ stroke: "#000", "stroke-width": 1.2 },
		),
		textAt([LEFT + PLOT_WIDTH / 2, bottom + 40], "Flow, L/h", { "text-anchor": "middle" }),
		textAt([0, 0], yWords, {
			"text-anchor": "middle",
			transform: `translate(24 ${middle}) rotate(-90)`,
		}),
	];
}

const seasonOf = ({ sized }: Told): "cold" | "warm" => sized.season;

function systemLine({ told, element }: Curve, points: readonly Point[], { at }: Scale): string {
	return polyline(
		points.map(([x, y]) => at(x, y)),
		{ stroke: "#000", ...strokes[seasonOf(told)], ...dashes[element] },
	);
}

/** The pump's line at the volts and viscosity of its clean operating point, cut at the frame. */
function pumpLine(told: Told, { at, yMax }: Scale): string {
	const { clean } = told.worked;
	const free = clean.freeFlowM3s * LPH;
	const dead = clean.deadHeadPa / 1e3;
	const highest = Math.min(yMax, dead);
	const points = [at(free, 0), at(free * (1 - highest / dead), highest)];
	return polyline(points, {
		stroke: "#000",
		"stroke-dasharray": PUMP_DASH,
		...strokes[seasonOf(told)],
	});
}

/** Operating points: filled when cold, hollow when warm; numbered as in the legend. */
function marks(
	curves: readonly Curve[],
	{ at, yMax }: Scale,
	heightOf: (curve: Curve) => number,
	bars: boolean,
): string[] {
	return curves.flatMap((curve, i) => {
		const { flowLph, lph } = pointOf(curve);
		const y = heightOf(curve);
		if (y > yMax || y < 0) return [];
		const [cx, cy] = at(flowLph, y);
		const bar = bars ? [at(lph.p10 ?? 0, y), at(lph.p90 ?? 0, y)] : [];
		return [
			...(bar.length > 0 ? [polyline(bar, { stroke: "#000", "stroke-width": 1 })] : []),
			...bar.map(([x]) => lineFrom([x, cy - 5], [x, cy + 5], { stroke: "#000" })),
			mark(curve, [cx, cy]),
			textAt(numberAt(curve, [cx, cy]), String(i + 1), {
				"text-anchor": "middle",
				"font-weight": "bold",
				// A white edge under the digit keeps it clear of the lines.
				stroke: "#fff",
				"stroke-width": 3,
				"paint-order": "stroke",
			}),
		];
	});
}

/** Clean below, change-out above: two points of one season lie on one line of the pump. */
const numberAt = ({ element }: Curve, [x, y]: Point): Point =>
	element === "clean" ? [x + 15, y + 18] : [x - 15, y - 9];

function mark({ told, element }: Curve, [x, y]: Point): string {
	const fill = seasonOf(told) === "cold" ? "#000" : "#fff";
	const looks = { fill, stroke: "#000", "stroke-width": 1.4 };
	return element === "clean"
		? shape("circle", { cx: x, cy: y, r: 5, ...looks })
		: shape("rect", { x: x - 5, y: y - 5, width: 10, height: 10, ...looks });
}

interface LimitLine {
	readonly kpa: number;
	readonly words: string;
}

const shortWords = {
	"wet-suction": "suction on fuel",
	"dry-suction": "suction on air",
	"air-release": "air comes out",
	"element-collapse": "element collapses",
	"hose-collapse": "hose collapses",
} as const;

/** The vacuums that must not be reached, at the volts of the first case's operating point. */
function limitsOf([first]: readonly Told[]): LimitLine[] {
	if (first === undefined) return [];
	const vacuums = suctionMargins(first.asked.si, first.worked.clean).filter(
		({ limit }) => limit !== "element-collapse" && limit !== "hose-collapse",
	);
	return vacuums.map(({ limit, limitKpa }) => ({
		kpa: limitKpa,
		words: `${shortWords[limit]}, ${limitKpa.toFixed(0)} kPa`,
	}));
}

function limitLines(limits: readonly LimitLine[], { at, xMax, yMax }: Scale): string[] {
	return limits
		.filter(({ kpa }) => kpa <= yMax)
		.flatMap(({ kpa, words }) => {
			const [from, to] = [at(0, kpa), at(xMax, kpa)];
			return [
				lineFrom(from, to, { stroke: "#000", "stroke-dasharray": LIMIT_DASH }),
				textAt([from[0] + 8, from[1] - 6], words, { "font-style": "italic" }),
			];
		});
}

function legend(curves: readonly Curve[], shown: readonly Told[]): string[] {
	const lines: string[] = [];
	let y = PANELS[0].top + 12;
	const row = (drawn: string, words: string, more = "") => {
		lines.push(drawn, textAt([LEGEND_X + 54, y + 4], words));
		y += 17;
		if (more !== "") {
			lines.push(textAt([LEGEND_X + 54, y + 4], more, { "font-size": 11 }));
			y += 17;
		}
		y += 7;
	};
	const sample = (attributes: Readonly<Record<string, string | number>>) =>
		lineFrom([LEGEND_X, y], [LEGEND_X + 44, y], { stroke: "#000", ...attributes });
	for (const [i, curve] of curves.entries()) {
		const { told, element } = curve;
		const { flowLph, vacuumPa } = pointOf(curve);
		const line = sample({ ...strokes[seasonOf(told)], ...dashes[element] });
		row(
			`${line}${mark(curve, [LEGEND_X + 22, y])}`,
			`${i + 1}: ${told.asked.celsius} °C, ${elementWords[element]}`,
			`${flowLph.toFixed(1)} L/h at ${(vacuumPa / 1e3).toFixed(1)} kPa of vacuum`,
		);
	}
	for (const told of shown) {
		const { voltsShare } = told.worked.clean;
		const volts = (voltsShare * told.asked.si.steady.ratedVolts).toFixed(1);
		const line = sample({ "stroke-dasharray": PUMP_DASH, ...strokes[seasonOf(told)] });
		row(line, `pump, ${told.asked.celsius} °C, ${volts} V`);
	}
	row(sample({ "stroke-dasharray": LIMIT_DASH }), "limit (lower plot)");
	if (shown.some(({ worked }) => worked.change.vacuumPa > AIR_RELEASE_PA)) {
		const kpa = AIR_RELEASE_PA / 1e3;
		lines.push(
			textAt([LEGEND_X, y + 4], `Past ${kpa} kPa of vacuum, air from the fuel`, {
				"font-size": 11,
			}),
			textAt([LEGEND_X, y + 19], "moves the pump's line to the left.", { "font-size": 11 }),
		);
	}
	return lines;
}
