// One sheet of the wiring as SVG: A4 landscape, 1 unit is 1 mm. Boxes with terminals, wires with
// number, colour and mm², cautions, legend and title block. Colours help and are never alone: each
// wire says its colour in words. Pure.

import {
	lineFrom,
	type Point,
	polygon,
	shape,
	svgDocument,
	textAt,
	textWidth,
} from "../../report/svg.ts";
import { endOf, type Net, type Netlist } from "../netlist.ts";
import { drawBox, FONT, type Frame, type Say } from "./box-svg.ts";
import { wireText } from "./part-words.ts";
import { gapOf, type Routes, routesOf } from "./routes.ts";
import type { Port, Sheet } from "./sheet-plan.ts";
import { frame, PAPER } from "./title-block.ts";

const PITCH = 5.3;
/** Bold letters are wider by so much (from memory). */
const BOLD = 1.12;
/** From a box to its gap's tracks: room for a wire's words. */
const STUB = 22;
const TRACK = 2.2;
/** Length of a wire that ends in a tag. */
const TAG = 3.6;

/** Strokes by the colour's name; dark enough for paper and for grey. */
const STROKES: Readonly<Record<string, string>> = {
	red: "#b00020",
	brown: "#6b3f1d",
	orange: "#b85c00",
	black: "#000000",
	"dark blue": "#123a7a",
	violet: "#6a1b9a",
	white: "#444444",
	grey: "#6a6a6a",
	pink: "#ad3a6a",
	tan: "#7d6233",
	yellow: "#7a6c00",
	green: "#1b6b2d",
};

/** A text with the box that it fills at most, mm; what a test holds the wires against. */
export interface Placed {
	readonly words: string;
	readonly x: number;
	readonly y: number;
	readonly width: number;
	readonly size: number;
}
export interface Segment {
	readonly from: Point;
	readonly to: Point;
	readonly net: Net;
}
export interface DrawnEnd {
	readonly net: Net;
	readonly end: string;
	readonly at: Point;
	readonly isTag: boolean;
}
export interface Drawn {
	readonly svg: string;
	readonly texts: readonly Placed[];
	readonly segments: readonly Segment[];
	readonly frames: readonly Frame[];
	/** Where each terminal of the sheet stands, and whether its wire ends in a tag there. */
	readonly ends: readonly DrawnEnd[];
	readonly blocked: readonly string[];
}

export interface SheetPlace {
	readonly number: number;
	readonly count: number;
	readonly revision: string;
}

/** Draws a sheet; `blocked` tells wires that found no way. */
export function drawSheet(sheet: Sheet, list: Netlist, place: SheetPlace): Drawn {
	const widths = sheet.columns.map(({ width }) => width);
	const shares = sheet.gaps ?? widths.slice(1).map(() => 1);
	const sum = (numbers: readonly number[]) => numbers.reduce((all, one) => all + one, 0);
	const room = PAPER.width - 2 * PAPER.margin - 4 - sum(widths);
	const gapWidth = (gap: number) => (room * (shares[gap] ?? 1)) / sum(shares);
	const leftOf = (column: number) =>
		PAPER.margin + 2 + sum(widths.slice(0, column).map((width, i) => width + gapWidth(i)));
	const rightOf = (column: number) => leftOf(column) + (widths[column] ?? 0);
	const yOf = (row: number) => PAPER.margin + 6 + row * PITCH;
	const tracks = (gap: number) => Math.max(1, Math.floor((gapWidth(gap) - 2 * STUB) / TRACK) + 1);
	const found = routesOf(sheet, list, tracks);
	const usedIn = (gap: number) =>
		Math.max(0, ...found.routes.map((one) => (one.gap === gap ? (one.track ?? 0) : 0)));
	/** In the middle of the gap, however many there are. */
	const trackX = (gap: number, track: number) =>
		rightOf(gap) + gapWidth(gap) / 2 + (track - usedIn(gap) / 2) * TRACK;
	const texts: Placed[] = [];
	const segments: Segment[] = [];
	const frames: Frame[] = [];
	const ends: DrawnEnd[] = [];
	const body: string[] = [];
	const say: Say = (point, words, size, anchor, extra = {}) => {
		const width = textWidth(words, size) * ("font-weight" in extra ? BOLD : 1);
		const x =
			anchor === "start" ? point[0] : anchor === "end" ? point[0] - width : point[0] - width / 2;
		texts.push({ words, x, y: point[1], width, size });
		body.push(textAt(point, words, { "font-size": size, "text-anchor": anchor, ...extra }));
	};
	const wire = (net: Net, from: Point, to: Point) => {
		segments.push({ from, to, net });
		body.push(lineFrom(from, to, strokeOf(net, list)));
	};

	drawWires(found, { leftOf, rightOf, yOf, trackX, wire, body });
	for (const [column, { boxes }] of sheet.columns.entries()) {
		const sides = { left: leftOf(column), right: rightOf(column) };
		for (const box of boxes) frames.push(drawBox(box, list, { ...sides, yOf, say, body }));
	}
	for (const port of found.ports) {
		const net = list.netAt.get(port.end);
		if (net === undefined) continue;
		const [x, y] = [
			port.side === "left" ? leftOf(port.column) : rightOf(port.column),
			yOf(port.row),
		];
		const isTag = found.tags.some((tag) => tag.port === port);
		ends.push({ net, end: port.end, at: [x, y], isTag });
		const out = port.side === "left" ? -1 : 1;
		if (isTag) wire(net, [x, y], [x + out * TAG, y]);
		const anchor = out < 0 ? "end" : "start";
		if (isTag) {
			say([x + out * (TAG + 0.6), y + 0.8], tagText(net, list, port), FONT, anchor);
			body.push(arrowAt([x + out * TAG, y], out));
		} else {
			say([x + out * 1.2, y - 0.7], portText(port, net, found, list), FONT, anchor);
		}
		body.push(shape("circle", { cx: x, cy: y, r: 0.55, fill: "#000" }));
	}
	const svg = svgDocument(PAPER.width, PAPER.height, `Wiring: ${sheet.title}`, [
		...frame(sheet, list, place),
		...body,
	]).replace(/width="\d+" height="\d+"/, `width="${PAPER.width}mm" height="${PAPER.height}mm"`);
	return { svg, texts, segments, frames, ends, blocked: found.blocked };
}

interface Pen {
	readonly leftOf: (column: number) => number;
	readonly rightOf: (column: number) => number;
	readonly yOf: (row: number) => number;
	readonly trackX: (gap: number, track: number) => number;
	readonly wire: (net: Net, from: Point, to: Point) => void;
	readonly body: string[];
}

function drawWires(found: Routes, { leftOf, rightOf, yOf, trackX, wire, body }: Pen): void {
	for (const { net, column, row } of found.passes) {
		wire(net, [leftOf(column), yOf(row)], [rightOf(column), yOf(row)]);
	}
	for (const { net, gap, track, left, right } of found.routes) {
		const [from, to] = [rightOf(gap), leftOf(gap + 1)];
		if (track === null) {
			const y = yOf(left[0] ?? right[0] ?? 0);
			wire(net, [left.length > 0 ? from : to, y], [right.length > 0 ? to : from, y]);
			continue;
		}
		const x = trackX(gap, track);
		const rows = [...left, ...right];
		wire(net, [x, yOf(Math.min(...rows))], [x, yOf(Math.max(...rows))]);
		for (const row of left) wire(net, [from, yOf(row)], [x, yOf(row)]);
		for (const row of right) wire(net, [x, yOf(row)], [to, yOf(row)]);
		if (rows.length < 3) continue;
		for (const row of new Set(rows)) {
			const isCorner = row === Math.min(...rows) || row === Math.max(...rows);
			const here = rows.filter((one) => one === row).length;
			if (!isCorner || here > 1)
				body.push(shape("circle", { cx: x, cy: yOf(row), r: 0.75, fill: "#000" }));
		}
	}
}

/** A wire says all at its left end, and its number at the other one if it runs straight there. */
function portText(port: Port, net: Net, { routes, ports }: Routes, list: Netlist): string {
	const gap = gapOf(port);
	const route = routes.find((one) => one.net === net && one.gap === gap);
	if (route?.track === null && port.side === "left") return String(net.net);
	const isFirst = ports.find(({ end }) => list.netAt.get(end) === net) === port;
	const elsewhere = net.ends.filter((end) => !ports.some((one) => one.end === end));
	const more = isFirst ? elsewhere.map((end) => ` +${endOf(list, end).part.ref}`) : [];
	return `${wireText(net, list)}${more.join("")}`;
}

/** `7 black X1` or, to a part on another sheet, `46 brown 0.75 U4`. */
function tagText(net: Net, list: Netlist, port: Port): string {
	if (net.bar !== undefined) {
		const other = net.at?.[port.end];
		const to = other === undefined ? net.bar : endOf(list, other).part.ref;
		return `${net.net} ${list.functions[net.function]?.colour ?? ""} ${to}`;
	}
	// As in the table of wires: all others go to the first end.
	const [first = "", second = ""] = net.ends;
	const { part } = endOf(list, port.end === first ? second : first);
	return `${wireText(net, list)} ${part.ref}`;
}

function arrowAt([x, y]: Point, out: number): string {
	const back = x - out * 1.6;
	const points: Point[] = [
		[x, y],
		[back, y - 0.8],
		[back, y + 0.8],
	];
	return polygon(points, { fill: "#000" });
}

/** Thicker for a thicker conductor; dashed on the solder board. */
function strokeOf(net: Net, { functions }: Netlist) {
	const stroke = STROKES[functions[net.function]?.colour ?? ""] ?? "#000000";
	const width = net.mm2 === undefined ? 0.25 : net.mm2 >= 1 ? 0.65 : net.mm2 >= 0.75 ? 0.45 : 0.3;
	const dashes = net.function === "soldered" ? { "stroke-dasharray": "1.2 0.6" } : {};
	return { stroke, "stroke-width": width, ...dashes };
}
