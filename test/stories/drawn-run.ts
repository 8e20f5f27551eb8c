// Runs of the bench drawn as pictures, and what a reader of the SVG finds in them: texts with the
// boxes they take, and areas by their fill.

import { join } from "node:path";
import { runPlot } from "../../host/report/run-plot.ts";
import { textWidth } from "../../host/report/svg.ts";
import { sumUp } from "../../sim/bench/judge.ts";
import { loadScenario } from "../../sim/bench/load.ts";
import type { RunTrace } from "../../sim/bench/run-trace.ts";
import { runScenario } from "../../sim/bench/runner.ts";
import type { Scenario } from "../../sim/bench/scenario.ts";
import type { BenchRun } from "../../sim/bench/session.ts";
import { pins, root } from "./world.ts";

export interface Drawn {
	readonly run: BenchRun;
	readonly trace: RunTrace;
	readonly svg: string;
}

export function draw(name: string, change: (scenario: Scenario) => Scenario = same): Drawn {
	const file = join(root, `sim/bench/scenarios/${name}.bench.yaml`);
	const { scenario, rig } = loadScenario(file);
	const run = runScenario(change(scenario), rig, pins, { traced: true });
	const { trace } = run;
	if (trace === null) throw new Error("a run without its trace");
	return { run, trace, svg: drawing(run, trace) };
}

const same = (scenario: Scenario): Scenario => scenario;

export const drawing = (run: BenchRun, trace: RunTrace): string =>
	runPlot(run, sumUp("drawn", run, 0), trace);

/** A text and the box that it takes, the wide way. */
export interface Label {
	readonly words: string;
	readonly left: number;
	readonly right: number;
	readonly top: number;
	readonly bottom: number;
	readonly size: number;
}

const attribute = (tag: string, name: string): string | undefined =>
	new RegExp(` ${name}="([^"]*)"`).exec(tag)?.[1];

export function labelsOf(svg: string): Label[] {
	return [...svg.matchAll(/<text([^>]*)>([^<]*)<\/text>/g)].map(([, tag = "", escaped = ""]) => {
		const words = escaped.replaceAll("&lt;", "<").replaceAll("&amp;", "&");
		const size = Number(attribute(tag, "font-size"));
		const wide = textWidth(words, size);
		const turned = /translate\(([\d.]+) ([\d.]+)\) rotate/.exec(tag);
		if (turned !== null) {
			const [x, y] = [Number(turned[1]), Number(turned[2])];
			const box = {
				left: x - size,
				right: x + 0.3 * size,
				top: y - wide / 2,
				bottom: y + wide / 2,
			};
			return { words, size, ...box };
		}
		const [x, y] = [Number(attribute(tag, "x")), Number(attribute(tag, "y"))];
		const anchor = { end: 1, middle: 0.5, start: 0 }[attribute(tag, "text-anchor") ?? "start"] ?? 0;
		const left = x - anchor * wide;
		return { words, size, left, right: left + wide, top: y - 0.75 * size, bottom: y + 0.2 * size };
	});
}

/** Pairs of texts that stand on each other, in words. */
export function collisions(labels: readonly Label[]): string[] {
	return labels.flatMap((a, i) =>
		labels
			.slice(i + 1)
			.filter((b) => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom)
			.map((b) => `${a.words} | ${b.words}`),
	);
}

/** Left and right ends of the boxes with that fill, between the axes. */
export function boxesOf(svg: string, fill: string): [left: number, right: number][] {
	return [...svg.matchAll(/<rect([^>]*)\/>/g)].flatMap(([, tag = ""]) => {
		if (attribute(tag, "fill") !== fill) return [];
		const x = Number(attribute(tag, "x"));
		return [[x, x + Number(attribute(tag, "width"))] as [number, number]];
	});
}
