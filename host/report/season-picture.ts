// The picture of the elements' restriction over litres: each in use told by its line, the change
// mark, and the litres until it is met as an interval. Black on white, told apart without colour.
// Pure; the same shapes are drawn on paper and on the page.

import type { Words } from "../web/words/words.ts";
import {
	type PathShape,
	PICTURE_TYPE,
	type Picture,
	type Shade,
	type TextShape,
} from "./blocks.ts";
import type { ElementSeason, SeasonAnswer } from "./season-schema.ts";
import type { Figures } from "./season-units.ts";
import { textWidth, ticks } from "./svg.ts";

const WIDTH = 510;
const HEIGHT = 140;
const LEFT = 44;
const RIGHT = 70;
const TOP = 16;
const FOOT = 30;
/** Past an end that is never met, of the width that the litres take. */
const BEYOND = 1.15;
const ROUND = 2.2;

type At = (litres: number, kpa: number) => readonly [x: number, y: number];

/** Null where nothing is told of any element. */
export function restrictionPicture(
	{ elements, forecast }: SeasonAnswer,
	figures: Figures,
	words: Words["season"],
): Picture | null {
	const told = elements.filter(({ trend }) => trend.length > 0);
	const current = elements.at(-1);
	const changeKpa = told.at(-1)?.changeAtKpa ?? null;
	if (changeKpa === null) return null;
	const isTold = current !== undefined && current.trend.length > 0;
	const nowLitres = current?.litres ?? 0;
	const until = isTold ? (forecast?.litres ?? null) : null;
	const ends = [until?.low, until?.median, until?.high].map((litres) =>
		litres === null || litres === undefined ? 0 : nowLitres + litres,
	);
	const trendMax = Math.max(...told.flatMap(({ trend }) => trend.map(({ litres }) => litres)));
	// What lies very far ahead would press what was seen into a corner.
	const xMax = Math.max(1, nowLitres, trendMax, Math.min(Math.max(...ends), 4 * trendMax)) * BEYOND;
	const kpaMax = Math.max(...told.flatMap(({ trend }) => trend.map(({ kpa }) => kpa)));
	const yMax = 1.15 * Math.max(changeKpa, kpaMax);
	const at: At = (litres, kpa) => [
		LEFT + (Math.min(litres, xMax) / xMax) * (WIDTH - LEFT - RIGHT),
		HEIGHT - FOOT - (Math.max(0, kpa) / yMax) * (HEIGHT - FOOT - TOP),
	];
	const { picture } = words;
	const lines = told.map((element) => {
		const isCurrent = element === current;
		return { element, shade: isCurrent ? "black" : "grey", isCurrent } as const;
	});
	const names = nameEnds(at, lines, words);
	const paths = [
		...axes(at, xMax, yMax, figures),
		mark(at, xMax, changeKpa, [6, 3]),
		...lines.flatMap(({ element, shade, isCurrent }) => trendLine(at, element, shade, isCurrent)),
		...(until === null ? [] : forecastBar(at, xMax, changeKpa, nowLitres, until)),
		...names.map(under),
	];
	const [, changeY] = at(0, changeKpa);
	const texts = [
		...axisTexts(at, xMax, yMax, figures, words),
		label(picture.change, WIDTH - RIGHT + 4, changeY + 3),
		...names,
		...(until === null || until.low === null
			? []
			: [label(picture.forecast, at(nowLitres + until.low, changeKpa)[0], changeY - 6)]),
	];
	const points = told.map((element) => {
		const name = nameOf(element, words);
		const seen = element.trend.map(({ litres, kpa }) =>
			picture.point(
				`${figures.volume(litres)} ${figures.volumeUnit}`,
				`${figures.pressure(kpa)} ${figures.pressureUnit}`,
			),
		);
		return `${name}: ${seen.join(", ")}`;
	});
	const description = [picture.title, ...points].join(". ");
	return { kind: "picture", description, width: WIDTH, height: HEIGHT, paths, texts };
}

const nameOf = ({ micron }: ElementSeason, words: Words["season"]): string =>
	micron === null ? words.elementUnknown : words.elementName(String(micron));

const number = (value: number): string => String(Number(value.toFixed(2)));

const line = (points: ReadonlyArray<readonly [number, number]>): string =>
	points.map(([x, y], i) => `${i === 0 ? "M" : "L"}${number(x)} ${number(y)}`).join("");

const drawn = (
	d: string,
	width: number,
	shade: Shade = "black",
	dash: readonly number[] = [],
): PathShape => ({ d, width, dash, isFilled: false, shade });

const label = (
	words: string,
	x: number,
	y: number,
	anchor: TextShape["anchor"] = "start",
	isBold = false,
): TextShape => ({ words, x, y, anchor, isBold });

/** Round numbers of the reader's unit. */
const litreTicks = (xMax: number, { toVolume }: Figures) =>
	ticks(toVolume(xMax), 6).map((shown) => ({ shown, litres: shown / toVolume(1) }));

const kpaTicks = (yMax: number, { toPressure }: Figures) =>
	ticks(toPressure(yMax), 5).map((shown) => ({ shown, kpa: shown / toPressure(1) }));

function axes(at: At, xMax: number, yMax: number, figures: Figures): PathShape[] {
	const [x0, y0] = at(0, 0);
	const [x1] = at(xMax, 0);
	const across = kpaTicks(yMax, figures)
		.slice(1)
		.map(({ kpa }) => {
			const [, y] = at(0, kpa);
			return drawn(
				line([
					[x0, y],
					[x1, y],
				]),
				0.4,
				"pale",
			);
		});
	const marks = litreTicks(xMax, figures).map(({ litres }) => {
		const [x] = at(litres, 0);
		return drawn(
			line([
				[x, y0],
				[x, y0 + 3],
			]),
			0.6,
		);
	});
	return [
		...across,
		drawn(
			line([
				[x0, at(0, yMax)[1]],
				[x0, y0],
				[x1, y0],
			]),
			0.8,
		),
		...marks,
	];
}

function axisTexts(
	at: At,
	xMax: number,
	yMax: number,
	figures: Figures,
	{ picture }: Words["season"],
): TextShape[] {
	const [x0, y0] = at(0, 0);
	const up = kpaTicks(yMax, figures).map(({ shown, kpa }) =>
		label(String(shown), x0 - 5, at(0, kpa)[1] + 3, "end"),
	);
	const along = litreTicks(xMax, figures).map(({ shown, litres }) =>
		label(String(shown), at(litres, 0)[0], y0 + 12, "middle"),
	);
	return [
		label(picture.restriction(figures.pressureUnit), 2, 9, "start", true),
		...up,
		...along,
		label(picture.litres(figures.volumeUnit), (x0 + at(xMax, 0)[0]) / 2, y0 + 24, "middle", true),
	];
}

const mark = (at: At, xMax: number, kpa: number, dash: readonly number[]): PathShape =>
	drawn(line([at(0, kpa), at(xMax, kpa)]), 0.9, "black", dash);

/** In use: a full line with round marks; before: dashed with open ones. */
function trendLine(
	at: At,
	{ trend }: ElementSeason,
	shade: Shade,
	isCurrent: boolean,
): PathShape[] {
	const points = trend.map(({ litres, kpa }) => at(litres, kpa));
	const dots = points.map(([x, y]): PathShape => {
		const r = ROUND;
		const half = (toX: number) => `A${r} ${r} 0 1 0 ${number(toX)} ${number(y)}`;
		const d = `M${number(x - r)} ${number(y)}${half(x + r)}${half(x - r)}Z`;
		return { d, width: 0.8, dash: [], isFilled: isCurrent, shade };
	});
	const path = drawn(line(points), isCurrent ? 1.6 : 1, shade, isCurrent ? [] : [3, 2]);
	return points.length > 1 ? [path, ...dots] : dots;
}

/**
 * Beside the last point, that of the one in use below it; a name that would lie on another is left
 * out, as the table has them all.
 */
function nameEnds(
	at: At,
	lines: ReadonlyArray<{ element: ElementSeason; isCurrent: boolean }>,
	words: Words["season"],
): TextShape[] {
	const names: TextShape[] = [];
	for (const { element, isCurrent } of [...lines].reverse()) {
		const last = element.trend.at(-1);
		if (last === undefined) continue;
		const [x, y] = at(last.litres, last.kpa);
		const name = nameOf(element, words);
		const own = isCurrent
			? label(`${name}, ${words.picture.inUse}`, x + 5, y + 11, "start", true)
			: label(name, x + 5, y - 4);
		if (!names.some((other) => areOver(own, other))) names.push(own);
	}
	return names;
}

const areOver = (a: TextShape, b: TextShape): boolean =>
	Math.abs(a.y - b.y) < PICTURE_TYPE + 2 &&
	a.x < b.x + textWidth(b.words, PICTURE_TYPE) &&
	b.x < a.x + textWidth(a.words, PICTURE_TYPE);

/** Lines do not go through a name. */
function under({ words, x, y }: TextShape): PathShape {
	const [right, top, bottom] = [x + textWidth(words, PICTURE_TYPE), y - PICTURE_TYPE, y + 2];
	const d = `${line([
		[x, top],
		[right, top],
		[right, bottom],
		[x, bottom],
	])}Z`;
	return { d, width: 0, dash: [], isFilled: true, shade: "paper" };
}

/** From low to high with the middle value's tick; open to the right where it may never come. */
function forecastBar(
	at: At,
	xMax: number,
	kpa: number,
	nowLitres: number,
	{ low, median, high }: { low: number | null; median: number | null; high: number | null },
): PathShape[] {
	if (low === null) return [];
	const isOpen = high === null || nowLitres + high > xMax;
	const [x0, y] = at(nowLitres + low, kpa);
	const [x1] = at(isOpen ? xMax : nowLitres + high, kpa);
	const tick = (x: number, half: number) =>
		drawn(
			line([
				[x, y - half],
				[x, y + half],
			]),
			1.2,
		);
	const arrow = drawn(
		line([
			[x1 - 4, y - 3],
			[x1, y],
			[x1 - 4, y + 3],
		]),
		1.2,
	);
	const middle = median === null || nowLitres + median > xMax ? [] : [nowLitres + median];
	return [
		drawn(
			line([
				[x0, y],
				[x1, y],
			]),
			3,
			"grey",
		),
		tick(x0, 4),
		...middle.map((litres) => tick(at(litres, kpa)[0], 6)),
		isOpen ? arrow : tick(x1, 4),
	];
}
