// The few shapes of SVG that a plot needs, written as text. Numbers are rounded to hundredths and
// text is escaped. Imports nothing. W3C SVG 1.1.

type Attributes = Readonly<Record<string, string | number>>;
export type Point = readonly [x: number, y: number];

export const escaped = (text: string): string =>
	text
		.replaceAll("&", "&amp;")
		.replaceAll("<", "&lt;")
		.replaceAll(">", "&gt;")
		.replaceAll('"', "&quot;");

const short = (value: number): string => String(Number(value.toFixed(2)));

function open(name: string, attributes: Attributes): string {
	const parts = Object.entries(attributes).map(
		([key, value]) => ` ${key}="${typeof value === "number" ? short(value) : escaped(value)}"`,
	);
	return `<${name}${parts.join("")}`;
}

export const shape = (name: string, attributes: Attributes): string =>
	`${open(name, attributes)}/>`;

export const textAt = ([x, y]: Point, words: string, attributes: Attributes = {}): string =>
	`${open("text", { x, y, ...attributes })}>${escaped(words)}</text>`;

export const lineFrom = ([x1, y1]: Point, [x2, y2]: Point, attributes: Attributes): string =>
	shape("line", { x1, y1, x2, y2, ...attributes });

export const polyline = (points: readonly Point[], attributes: Attributes): string =>
	shape("polyline", {
		points: points.map(([x, y]) => `${short(x)},${short(y)}`).join(" "),
		fill: "none",
		...attributes,
	});

/** A closed area through the points. */
export const polygon = (points: readonly Point[], attributes: Attributes): string =>
	shape("polygon", {
		points: points.map(([x, y]) => `${short(x)},${short(y)}`).join(" "),
		...attributes,
	});

/** A fill of small shapes that repeats, to be named by `url(#id)`. */
export function pattern(id: string, width: number, height: number, body: readonly string[]) {
	const head = open("pattern", { id, width, height, patternUnits: "userSpaceOnUse" });
	return `${head}>${body.join("")}</pattern>`;
}

/**
 * How wide a text is at most, about: six tenths of its size a letter, as in a wide sans-serif type
 * (from memory).
 */
export const textWidth = (words: string, size: number): number => 0.6 * size * words.length;

/** A whole document; `title` is what a reader for the blind says, then the description. */
export function svgDocument(
	width: number,
	height: number,
	title: string,
	body: readonly string[],
	description = "",
): string {
	const root = open("svg", {
		xmlns: "http://www.w3.org/2000/svg",
		width,
		height,
		viewBox: `0 0 ${width} ${height}`,
		role: "img",
		"font-family": "sans-serif",
		"font-size": 13,
	});
	return [
		'<?xml version="1.0" encoding="UTF-8"?>',
		`${root}>`,
		`<title>${escaped(title)}</title>`,
		...(description === "" ? [] : [`<desc>${escaped(description)}</desc>`]),
		...body,
		"</svg>",
		"",
	].join("\n");
}

/** Round steps of 1, 2 or 5 over a range that starts at 0: at most about `count` of them. */
export function ticks(max: number, count: number): number[] {
	return ticksBetween(0, max, count);
}

/** The same from below 0 or from 0 on. */
export function ticksBetween(min: number, max: number, count: number): number[] {
	const rough = (max - min) / count;
	const power = 10 ** Math.floor(Math.log10(rough));
	const step = ([1, 2, 5, 10].find((factor) => factor * power >= rough) ?? 10) * power;
	const first = Math.ceil(min / step - 1e-9);
	const steps = Math.floor(max / step + 1e-9) - first;
	return Array.from({ length: steps + 1 }, (_, i) => Number(((first + i) * step).toPrecision(12)));
}
