// The picture of the dead-man's course: beat, reservoir and K2 over a start, a gap of 300 ms and
// the end of the beat; nominal parts as a line, the corners of the parts as a band. Black on white,
// told apart by line and fill, so that it prints in grey.

import {
	lineFrom,
	type Point,
	polygon,
	polyline,
	shape,
	svgDocument,
	textAt,
} from "../../host/report/svg.ts";
import { type Seen, watch } from "./dead-man-bench.ts";
import { corners, READY_S, rising, stretch } from "./dead-man-corners.ts";
import { limits, nominalOf } from "./dead-man-parts.ts";

const WIDTH = 840;
const HEIGHT = 508;
const LEFT = 150;
const RIGHT = 816;
const BEAT = { top: 84, height: 34 };
const RESERVOIR = { top: 150, height: 220 };
const K2_TOP = 402;
const K2_ROW = 22;
const VOLTS_MAX = 3.2;
const GAP_S = 0.3;
const EDGES = 23;
const FROM_S = READY_S - 0.2;
const STEP_S = 0.01;

const { beat, marks, seconds } = stretch(GAP_S, EDGES, 5);
const xOf = (atS: number) => LEFT + ((RIGHT - LEFT) * (atS - FROM_S)) / (seconds - FROM_S);
const yOf = (volts: number) =>
	RESERVOIR.top + RESERVOIR.height - (RESERVOIR.height * volts) / VOLTS_MAX;

/** The dead-man with nominal parts over the picture's time. */
export function nominalCourse(): Seen {
	return watch({ beat, seconds, stepS: STEP_S });
}

/** And at each corner of its parts. */
function cornerCourses(): Seen[] {
	return corners.map(({ values, celsius, supplyVolts, driveVolts }) => {
		const supply = rising(supplyVolts);
		const { beat: driven } = stretch(GAP_S, EDGES, driveVolts);
		return watch({ beat: driven, seconds, stepS: STEP_S, values, celsius, supply });
	});
}

const first = Math.round(FROM_S / STEP_S);

/** The points of a reservoir's curve. */
export function curveOf({ of }: Seen): Point[] {
	return (of.res ?? []).slice(first).map((volts, i) => [xOf(FROM_S + i * STEP_S), yOf(volts)]);
}

function bandOf(courses: readonly Seen[]): Point[] {
	const curves = courses.map(curveOf);
	const samples = curves[0] ?? [];
	const edge = (most: (...values: number[]) => number): Point[] =>
		samples.map(([x], i) => [x, most(...curves.map((curve) => curve[i]?.[1] ?? yOf(0)))]);
	return [...edge(Math.min), ...edge(Math.max).reverse()];
}

function beatPart(): string[] {
	const { top, height } = BEAT;
	let level = 0;
	const points: Point[] = [[LEFT, top + height]];
	for (const { atS, volts } of beat) {
		const y = top + height - (height * (volts ?? 0)) / 5;
		points.push([xOf(atS), top + height - (height * level) / 5], [xOf(atS), y]);
		level = volts ?? 0;
	}
	points.push([RIGHT, top + height - (height * level) / 5]);
	return [
		textAt([16, top + 22], "beat's pin"),
		polyline(points, { stroke: "#000", "stroke-width": 1.2 }),
	];
}

function reservoirPart(course: Seen, courses: readonly Seen[]): string[] {
	const { top, height } = RESERVOIR;
	const axis = [0, 1, 2, 3].flatMap((volts) => [
		lineFrom([LEFT - 5, yOf(volts)], [LEFT, yOf(volts)], { stroke: "#000" }),
		textAt([LEFT - 10, yOf(volts) + 4], `${volts} V`, { "text-anchor": "end" }),
	]);
	const threshold = (volts: number, words: string, x: number) => [
		lineFrom([LEFT, yOf(volts)], [RIGHT, yOf(volts)], {
			stroke: "#000",
			"stroke-dasharray": "8 5",
		}),
		textAt([x, yOf(volts) - 6], words, { "text-anchor": "end" }),
	];
	return [
		polygon(bandOf(courses), { fill: "#c8c8c8" }),
		lineFrom([LEFT, top], [LEFT, top + height], { stroke: "#000" }),
		lineFrom([LEFT, top + height], [RIGHT, top + height], { stroke: "#000" }),
		...axis,
		...threshold(limits.closeVolts, "closes at 2.0 V", RIGHT - 6),
		...threshold(openVolts(), `opens at ${openVolts().toFixed(2)} V`, xOf(marks.behind) + 90),
		polyline(curveOf(course), { stroke: "#000", "stroke-width": 1.8 }),
		textAt([16, top + 18], "reservoir"),
	];
}

function openVolts(): number {
	const [a, b, h] = ["ra", "rb", "rh"].map((name) => 1 / nominalOf(name));
	const all = (a ?? 0) + (b ?? 0) + (h ?? 0);
	return (nominalOf("vreg") * (a ?? 0)) / all;
}

const closedFrom = ({ moves }: Seen) => moves.find(({ closed }) => closed)?.atS ?? seconds;
const closedTo = ({ moves }: Seen) => moves.findLast(({ closed }) => !closed)?.atS ?? seconds;

function k2Part(course: Seen, courses: readonly Seen[]): string[] {
	const all = [course, ...courses];
	const rows: ReadonlyArray<readonly [words: string, fromS: number, toS: number]> = [
		["K2, the shortest", Math.max(...all.map(closedFrom)), Math.min(...all.map(closedTo))],
		["K2, nominal", closedFrom(course), closedTo(course)],
		["K2, the longest", Math.min(...all.map(closedFrom)), Math.max(...all.map(closedTo))],
	];
	return rows.flatMap(([words, fromS, toS], i) => {
		const y = K2_TOP + i * K2_ROW;
		return [
			textAt([16, y + 11], words),
			shape("rect", {
				x: xOf(fromS),
				y,
				width: xOf(toS) - xOf(fromS),
				height: 16,
				fill: i === 1 ? "#000" : "#5a5a5a",
			}),
			textAt(
				[xOf(fromS) + 8, y + 12],
				`in ${(fromS - marks.first).toFixed(2)} s after the first edge, ` +
					`out ${(toS - marks.last).toFixed(2)} s after the last`,
				{ fill: "#fff", "font-size": 12 },
			),
		];
	});
}

function timePart(): string[] {
	const y = K2_TOP + 3 * K2_ROW + 6;
	const signs: ReadonlyArray<readonly [atS: number, words: string]> = [
		[marks.first, "first edge"],
		[marks.before, "gap of 0.3 s"],
		[marks.last, "last edge"],
	];
	return [
		...signs.flatMap(([atS, words]) => [
			lineFrom([xOf(atS), BEAT.top - 8], [xOf(atS), y], {
				stroke: "#000",
				"stroke-width": 0.6,
				"stroke-dasharray": "2 3",
			}),
			textAt([xOf(atS) + 2, BEAT.top - 14], words),
		]),
		...Array.from({ length: Math.floor(seconds - marks.first) + 1 }, (_, second) =>
			textAt([xOf(marks.first + second), y + 18], `${second} s`, { "text-anchor": "middle" }),
		),
	];
}

export function deadManPlot(course: Seen = nominalCourse(), courses = cornerCourses()): string {
	const title = "The dead-man over a start, a gap of 0.3 s and the end of the beat";
	return svgDocument(WIDTH, HEIGHT, title, [
		shape("rect", { x: 0, y: 0, width: WIDTH, height: HEIGHT, fill: "#fff" }),
		textAt([16, 26], title, { "font-size": 17 }),
		textAt([16, 46], "Line: nominal parts, 27 °C. Grey: the corners of the parts, -10 and 60 °C.", {
			"font-size": 12,
		}),
		...beatPart(),
		...reservoirPart(course, courses),
		...k2Part(course, courses),
		...timePart(),
	]);
}
