// The drawing of the dry-run rules: false stops against median delay, one line a rule, told apart
// by mark and stroke so that it prints in grey. The lower left is better. Imports the report's SVG.

import {
	lineFrom,
	type Point,
	polyline,
	shape,
	svgDocument,
	textAt,
	ticks,
} from "../../host/report/svg.ts";

export interface CurvePoint {
	readonly falsePer1000Hours: number;
	readonly medianS: number;
	readonly p99S: number;
	readonly missed: number;
}

export interface Curve {
	readonly name: string;
	readonly isOurs: boolean;
	readonly points: readonly CurvePoint[];
}

const WIDTH = 760;
const HEIGHT = 500;
const LEFT = 90;
const RIGHT = 730;
const TOP = 92;
const BOTTOM = 430;
/** None at all stands on a line of its own under the powers of ten. */
const NONE_Y = BOTTOM - 20;
const DECADES_FROM = BOTTOM - 60;

export function drawRules(curves: readonly Curve[], hours: number): string {
	const all = curves.flatMap(({ points }) => points);
	const xMax = 1.08 * Math.max(...all.map(({ medianS }) => medianS));
	const low = Math.floor(Math.log10(1_000 / hours));
	const most = Math.max(10, ...all.map(({ falsePer1000Hours }) => falsePer1000Hours));
	const high = Math.max(low + 1, Math.ceil(Math.log10(most)));
	const x = (seconds: number) => LEFT + ((RIGHT - LEFT) * seconds) / xMax;
	const y = (rate: number) =>
		rate <= 0
			? NONE_Y
			: DECADES_FROM - ((DECADES_FROM - TOP) * (Math.log10(rate) - low)) / (high - low);
	const grid = { stroke: "#ccc", "stroke-width": 0.6 };
	const decades = Array.from({ length: high - low + 1 }, (_, i) => 10 ** (low + i));
	const body = [
		shape("rect", { x: 0, y: 0, width: WIDTH, height: HEIGHT, fill: "#fff" }),
		textAt([LEFT, 30], "False stops against delay: two rules on the same traces", {
			"font-size": 17,
			"font-weight": "bold",
		}),
		textAt(
			[LEFT, 50],
			`Settings chosen on training seeds, shown on others; ${Math.round(hours)} h rolling.`,
		),
		textAt([LEFT, 68], "Simulated, nothing measured. Lower and further left is better."),
		...decades.flatMap((rate) => [
			lineFrom([LEFT, y(rate)], [RIGHT, y(rate)], grid),
			textAt([LEFT - 8, y(rate) + 4], String(rate), { "text-anchor": "end" }),
		]),
		lineFrom([LEFT, NONE_Y], [RIGHT, NONE_Y], grid),
		textAt([LEFT - 8, NONE_Y + 4], "none", { "text-anchor": "end" }),
		...ticks(xMax, 8).flatMap((seconds) => [
			lineFrom([x(seconds), TOP], [x(seconds), BOTTOM], grid),
			textAt([x(seconds), BOTTOM + 18], String(seconds), { "text-anchor": "middle" }),
		]),
		polyline(
			[
				[LEFT, TOP],
				[LEFT, BOTTOM],
				[RIGHT, BOTTOM],
			],
			{ stroke: "#000" },
		),
		textAt([(LEFT + RIGHT) / 2, BOTTOM + 42], "Median delay from air at the pump to the stop, s", {
			"text-anchor": "middle",
		}),
		textAt([0, 0], "False stops in 1,000 h", {
			"text-anchor": "middle",
			transform: `translate(26 ${(TOP + BOTTOM) / 2}) rotate(-90)`,
		}),
		...curves.flatMap((curve, i) => drawCurve(curve, x, y, i)),
	];
	return svgDocument(WIDTH, HEIGHT, "False stops against delay of two rules of dry run", body);
}

function drawCurve(
	{ name, isOurs, points }: Curve,
	x: (seconds: number) => number,
	y: (rate: number) => number,
	row: number,
): string[] {
	const places = points.map((point): Point => [x(point.medianS), y(point.falsePer1000Hours)]);
	const looks = isOurs
		? { "stroke-width": 2.2 }
		: { "stroke-width": 1.4, "stroke-dasharray": "7 4" };
	const mark = ([cx, cy]: Point) =>
		isOurs
			? shape("circle", { cx, cy, r: 5, fill: "#000" })
			: shape("rect", {
					x: cx - 4.5,
					y: cy - 4.5,
					width: 9,
					height: 9,
					fill: "#fff",
					stroke: "#000",
				});
	const at: Point = [RIGHT - 250, TOP + 16 + 22 * row];
	return [
		polyline(places, { stroke: "#000", ...looks }),
		...places.map(mark),
		shape("rect", { x: at[0] - 8, y: at[1] - 14, width: 262, height: 22, fill: "#fff" }),
		polyline([at, [at[0] + 40, at[1]]], { stroke: "#000", ...looks }),
		mark([at[0] + 20, at[1]]),
		textAt([at[0] + 50, at[1] + 4], name),
	];
}
