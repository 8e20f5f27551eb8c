// The controller's states as a band over time. Each state has a lightness or a hatch of its own, so
// that any two that touch are told apart in grey. Imports the frame.

import type { Doing } from "../../sim/bench/run-trace.ts";
import { BAND, HAIR, nameAt, type TimeScale, TYPE } from "./run-frame.ts";
import { lineFrom, pattern, shape, textAt, textWidth } from "./svg.ts";

export interface StateLook {
	readonly word: string;
	readonly fill: string;
	/** Drawn over the fill; null for none. */
	readonly hatch: "falling" | "rising" | "upright" | "crossed" | "dots" | null;
	readonly ink: string;
}

/** "Polishing" is what the statechart calls it while any order pumps. */
export const stateLooks: Readonly<Record<Doing, StateLook>> = {
	idle: { word: "idle", fill: "#ffffff", hatch: null, ink: "#000000" },
	priming: { word: "priming", fill: "#ffffff", hatch: "rising", ink: "#000000" },
	polishing: { word: "pumping", fill: "#7fb2dc", hatch: null, ink: "#000000" },
	standing: { word: "standing", fill: "#ffffff", hatch: "dots", ink: "#000000" },
	resting: { word: "resting", fill: "#dfe5ea", hatch: null, ink: "#000000" },
	held: { word: "held", fill: "#f4e2a0", hatch: "upright", ink: "#000000" },
	tripped: { word: "tripped", fill: "#7d1d1d", hatch: null, ink: "#ffffff" },
	dead: { word: "no tick", fill: "#ffffff", hatch: "crossed", ink: "#000000" },
};

/** Narrower than this nothing is seen on paper, units. */
const SEEN_MIN = 1;
/** States that are widened rather than left out, and to what. */
const KEPT_MIN = 3;
const NEVER_LOST: readonly Doing[] = ["tripped", "dead", "held"];

interface Segment {
	readonly state: Doing;
	readonly fromX: number;
	readonly toX: number;
}

const stroke = (width: number) => ({ stroke: "#000", "stroke-width": width });

/** The hatches; to stand in the document once. */
export function hatches(): string[] {
	const wide = stroke(1);
	return [
		"<defs>",
		pattern("rising", 7, 7, [
			lineFrom([-1, 8], [8, -1], wide),
			lineFrom([-1, 1], [1, -1], wide),
			lineFrom([6, 8], [8, 6], wide),
		]),
		pattern("upright", 6, 6, [lineFrom([3, 0], [3, 6], wide)]),
		pattern("crossed", 7, 7, [lineFrom([-1, 8], [8, -1], wide), lineFrom([-1, -1], [8, 8], wide)]),
		pattern("dots", 6, 6, [shape("circle", { cx: 3, cy: 3, r: 1.1 })]),
		// Nothing is known: paler than any state, so that lines over it stay legible.
		pattern("falling", 9, 9, [
			lineFrom([-1, -1], [10, 10], { stroke: "#999", "stroke-width": HAIR }),
			lineFrom([8, -1], [10, 1], { stroke: "#999", "stroke-width": HAIR }),
			lineFrom([-1, 8], [1, 10], { stroke: "#999", "stroke-width": HAIR }),
		]),
		"</defs>",
	];
}

/** A box in a state's look. */
export function stateBox(state: Doing, x: number, y: number, width: number, height: number) {
	const { fill, hatch } = stateLooks[state];
	const box = { x, y, width, height };
	return [
		shape("rect", { ...box, fill }),
		...(hatch === null ? [] : [shape("rect", { ...box, fill: `url(#${hatch})` })]),
	].join("");
}

/** Changes too quick to be seen go to the state before them, unless they must not be lost. */
function segmentsOf(
	doing: ReadonlyArray<{ fromMs: number; state: Doing }>,
	{ x, endMs }: TimeScale,
): Segment[] {
	const segments: Segment[] = [];
	doing.forEach(({ fromMs, state }, i) => {
		const isKept = NEVER_LOST.includes(state);
		const least = isKept ? KEPT_MIN : 0;
		// One that comes at the very end takes its room from what was before it.
		const fromX = Math.min(Math.max(x(fromMs), segments.at(-1)?.toX ?? 0), x(endMs) - least);
		const toX = Math.max(x(doing[i + 1]?.fromMs ?? endMs), fromX + least);
		const last = segments.at(-1);
		const isSeen = toX - fromX >= SEEN_MIN;
		if (last !== undefined && (last.state === state || !isSeen)) {
			segments[segments.length - 1] = { ...last, toX };
		} else if (toX > fromX) {
			segments.push({ state, fromX, toX });
		}
	});
	return segments;
}

export function stateBand(
	doing: ReadonlyArray<{ fromMs: number; state: Doing }>,
	scale: TimeScale,
): string[] {
	const { top, height } = BAND;
	return [
		nameAt(top + height / 2 + 4, "State"),
		...segmentsOf(doing, scale).flatMap(({ state, fromX, toX }) => {
			const { word, ink, hatch } = stateLooks[state];
			const wide = textWidth(word, TYPE.plain);
			const middle = (fromX + toX) / 2;
			const hasRoom = toX - fromX > wide + 8;
			return [
				stateBox(state, fromX, top, toX - fromX, height),
				lineFrom([fromX, top], [fromX, top + height], { stroke: "#000", "stroke-width": HAIR }),
				...(hasRoom && hatch !== null
					? [
							shape("rect", {
								x: middle - wide / 2 - 2,
								y: top + 4,
								width: wide + 4,
								height: height - 8,
								fill: "#fff",
							}),
						]
					: []),
				...(hasRoom
					? [
							textAt([middle, top + height / 2 + 4], word, {
								"text-anchor": "middle",
								"font-size": TYPE.plain,
								fill: ink,
							}),
						]
					: []),
			];
		}),
		shape("rect", {
			x: scale.x(0),
			y: top,
			width: scale.x(scale.endMs) - scale.x(0),
			height,
			fill: "none",
			...stroke(1),
		}),
	];
}
