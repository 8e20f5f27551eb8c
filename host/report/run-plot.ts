// The picture of a bench run: what happened, the controller's states, and a panel a quantity with
// the truth beside what was sensed. One sheet, legible in print and in grey. Imports its parts.

import type { BenchResult } from "../../sim/bench/judge.ts";
import type { RunTrace } from "../../sim/bench/run-trace.ts";
import type { BenchRun } from "../../sim/bench/session.ts";
import { clock } from "./account.ts";
import { boardWords } from "./bench-account.ts";
import { HAIR, LEGEND_TOP, LIST, PLOT, SHEET, TYPE, timeAxis, timeScale } from "./run-frame.ts";
import { guides, lanes, list, type Mark, markBox, marksOf } from "./run-marks.ts";
import { panels, SENSED, wetBox } from "./run-panels.ts";
import { hatches, stateBand, stateBox, stateLooks } from "./state-band.ts";
import { lineFrom, type Point, shape, svgDocument, textAt, textWidth } from "./svg.ts";

const SIMULATED = "Simulated; invented data: no hardware, no fuel, nothing measured.";

/**
 * @param trace of the same run
 * @param changed what of the rig is not as its file says, in words
 */
export function runPlot(
	run: BenchRun,
	result: BenchResult,
	trace: RunTrace,
	changed: readonly string[] = [],
): string {
	const { scenario, rig, records } = run;
	const endMs = run.simulatedSeconds * 1000;
	const time = timeScale(endMs);
	const marks = marksOf(records, trace, rig.meter.pulsesPerLitre, endMs);
	const ends = `Outcome: ${result.outcome}, after ${clock(endMs)}.`;
	const name = `Rig: ${rig.rig}${rig.invented ? " (invented)" : ""}. `;
	const said = `${name}${boardWords[run.board]}, seed ${run.seed}. ${ends}`;
	const body = [
		shape("rect", { x: 0, y: 0, width: SHEET.width, height: SHEET.height, fill: "#fff" }),
		...hatches(),
		heading(scenario.title),
		textAt([PLOT.left, 58], said, { "font-size": TYPE.heading }),
		textAt([PLOT.left, 75], [SIMULATED, ...changed].join(" "), { "font-size": TYPE.plain }),
		...guides(marks, time),
		...lanes(marks, time),
		...stateBand(trace.doing, time),
		...panels(rig, trace, time),
		...timeAxis(time),
		...list(marks),
		...legend(trace),
	];
	return svgDocument(SHEET.width, SHEET.height, scenario.title, body, describe(said, marks));
}

/** As large as its width allows. */
function heading(title: string): string {
	const room = LIST.right - PLOT.left;
	const size = Math.min(TYPE.title, (TYPE.title * room) / textWidth(title, TYPE.title));
	return textAt([PLOT.left, 36], title, { "font-size": size, "font-weight": "bold" });
}

function describe(said: string, marks: readonly Mark[]): string {
	const trips = marks.filter(({ lane }) => lane === "trips");
	const told = trips.map(({ atMs, words }) => `${words} at ${clock(atMs)}`);
	return [
		`${said} ${told.length === 0 ? "No trip" : told.join(", ")}.`,
		"Over one time axis: orders, crew, faults and trips as marks, the controller's states as a",
		"band, then flow in L/h, vacuum in kPa, water in the bowl in mL, motor current in A and supply",
		"in V, each with the truth beside what was sensed.",
	].join(" ");
}

const ROW = 15.5;
const SAMPLE = 34;
const COLUMN = 122;

function legend({ doing, sensed, stretchMs }: RunTrace): string[] {
	const { left } = LIST;
	let y = LEGEND_TOP;
	const words = (text: string, x = left + SAMPLE + 8) =>
		textAt([x, y + 4], text, { "font-size": TYPE.small });
	const line = (attributes: Readonly<Record<string, string | number>>) =>
		lineFrom([left, y], [left + SAMPLE, y], { stroke: "#000", ...attributes });
	const drawn = [
		textAt([left, y - 8], "How to read it", { "font-size": TYPE.heading, "font-weight": "bold" }),
	];
	const row = (sample: string, said: string) => {
		y += ROW;
		drawn.push(sample, words(said));
	};
	const next = () => y + ROW;
	const at = (dx: number): Point => [left + dx, next()];
	const sampleLine = (attributes: Readonly<Record<string, string | number>>) => {
		y += ROW;
		const text = line(attributes);
		y -= ROW;
		return text;
	};
	row(sampleLine({ "stroke-width": 0.9 }), "truth, the simulator's own");
	row(sampleLine({ stroke: SENSED, "stroke-width": 7 }), "sensed: the controller's reading");
	if (sensed.bowlWaterMl.max.includes(1)) row(wetBox(left, next(), SAMPLE), "the probe reads wet");
	row(hatchSample(at(0)), "nothing sensed: no number");
	row(
		sampleLine({ "stroke-dasharray": "6 4", "stroke-width": HAIR }),
		"limit of a setpoint or the bowl",
	);
	row(markBox("faults", "F1", left + SAMPLE / 2, next()), "broken, for as long as its bar");
	row(markBox("trips", "T1", left + SAMPLE / 2, next()), "trip: a stop that latches");
	const states = [...new Set(doing.map(({ state }) => state))];
	states.forEach((state, i) => {
		if (i % 2 === 0) y += ROW;
		const x = left + (i % 2) * COLUMN;
		drawn.push(
			stateBox(state, x, y - 6, SAMPLE, 12),
			shape("rect", {
				...{ x, y: y - 6, width: SAMPLE, height: 12 },
				...{ fill: "none", stroke: "#000", "stroke-width": HAIR },
			}),
			words(stateLooks[state].word, x + SAMPLE + 8),
		);
	});
	if (stretchMs > 100) {
		y += ROW;
		const seconds = stretchMs / 1000;
		drawn.push(words(`Drawn: least and greatest of ${seconds} s.`, left));
	}
	return drawn;
}

function hatchSample([x, y]: Point): string {
	return shape("rect", {
		...{ x, y: y - 6, width: SAMPLE, height: 12 },
		...{ fill: "url(#falling)", stroke: "#999", "stroke-width": HAIR },
	});
}
