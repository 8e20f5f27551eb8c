// The picture of a run: everything that it must show is there, no text stands on another, nothing
// is lost in the reduction, and it is told apart in grey.

import { describe, expect, it } from "vitest";
import { PANELS, PLOT, SHEET, timeTicks } from "../../host/report/run-frame.ts";
import { marksOf } from "../../host/report/run-marks.ts";
import { stateLooks } from "../../host/report/state-band.ts";
import type { Extremes, RunTrace, TracedName } from "../../sim/bench/run-trace.ts";
import { STRETCHES_MAX, tracedNames } from "../../sim/bench/run-trace.ts";
import { runScenario } from "../../sim/bench/runner.ts";
import type { Scenario } from "../../sim/bench/scenario.ts";
import { boxesOf, collisions, type Drawn, draw, drawing, labelsOf } from "./drawn-run.ts";
import { pins } from "./world.ts";

const NAMES = [
	...["water-in-the-bowl", "weak-battery", "rolling-and-low", "dead-computer", "stop-button"],
	...["cold-hour", "element-plugs", "sweep-after-a-stand", "probe-wire-cut", "power-cut"],
] as const;
const drawings = new Map<string, Drawn>(NAMES.map((name) => [name, draw(name)]));
const of = (name: (typeof NAMES)[number]): Drawn => drawings.get(name) ?? draw(name);

/** Every ten minutes something breaks, trips and is seen to, for five hours. */
const busy = draw("element-plugs", (scenario: Scenario): Scenario => {
	const when = { afterSeconds: 0, everyTime: false };
	const times = Array.from({ length: 30 }, (_, i) => 550 + 600 * i);
	const each = { uponTrip: "sensor-fault", everyTime: true } as const;
	return {
		...scenario,
		hoursMax: 6,
		orders: times.map((s) => ({
			...{ ...when, atSeconds: s - 500 },
			polish: { ...scenario.orders[0]?.polish, tank: "port", litres: 100, attended: false },
		})) as Scenario["orders"],
		weather: times.map((s) => ({
			...{ ...when, atSeconds: s },
			sea: { rollDeg: s % 7, periodS: 5 },
		})),
		faults: times.map((s) => ({
			...{ ...when, atSeconds: s, fault: "converter-silent" as const },
			forSeconds: 30,
		})),
		crew: [
			{ ...each, afterSeconds: 60, does: "press-acknowledge" },
			{ ...each, afterSeconds: 90, does: "arm" },
		],
	};
});

const all: ReadonlyArray<readonly [string, Drawn]> = [...drawings, ["a busy day", busy]];

/** What is drawn of a trace where only one quantity was noise from end to end. */
function noisy(trace: RunTrace): RunTrace {
	const count = STRETCHES_MAX;
	const value = (i: number) => 50 + 40 * Math.sin(i * 12.9898) * Math.cos(i * 78.233);
	const extremes = {
		min: Array.from({ length: count }, (_, i) => value(i) - 5),
		max: Array.from({ length: count }, (_, i) => value(i + 0.5) + 60),
		unknown: Array.from({ length: count }, (_, i) => (i % 3 === 0 ? "stale" : null)),
	};
	const each = Object.fromEntries(tracedNames.map((name) => [name, extremes]));
	const both = each as Record<TracedName, typeof extremes>;
	return { ...trace, stretchMs: 51_200, truth: both, sensed: both };
}

/** Relative luminance of `#rrggbb`, 0 to 1 (W3C WCAG 2.2), brought to a lightness of 0 to 100. */
function lightness(colour: string): number {
	const part = (at: number) => {
		const value = Number.parseInt(colour.slice(at, at + 2), 16) / 255;
		return value <= 0.040_45 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
	};
	const y = 0.2126 * part(1) + 0.7152 * part(3) + 0.0722 * part(5);
	// CIE 1976 L*.
	return y <= 0.008_856 ? 903.3 * y : 116 * Math.cbrt(y) - 16;
}

describe("the picture of a run", () => {
	it.each([
		"Water at the probe at night",
		"Rig: Teal Willow portable rig (invented). Simulated board, seed 11.",
		"Simulated; invented data",
		...["Flow", "Vacuum", "Bowl level", "Motor current", "Supply"],
		...[">L/h<", ">kPa<", ">mL<", ">A<", ">V<", "h:mm:ss", ">1:30:00<"],
		...["proves fuel 35", "stops above 30", "probe 220", "to element 540", "stops below 10.8"],
		...["truth, the simulator", "sensed: the controller", "no number", "limit of a setpoint"],
		...["Weather", "Crew", "Faults", "Trips", "Orders", "State", ">T1<", "Trip water-in-bowl"],
		...["Drain bowl", "Run ended: finished", ">tripped<", ">pumping<", ">resting<"],
		...["<title>Water", "<desc>", "Trip water-in-bowl at 0:01:01.", 'role="img"', 'fill="#fff"'],
	])("shows %s", (piece) => {
		expect(of("water-in-the-bowl").svg).toContain(piece);
	});

	it.each(all)("of %s: no text stands on another, or beyond the sheet", (_, { svg }) => {
		const labels = labelsOf(svg);
		expect(labels.length).toBeGreaterThan(40);
		expect(collisions(labels)).toEqual([]);
		for (const { words, left, right, top, bottom } of labels) {
			expect(
				[left, top, right, bottom].every((at) => at >= 0),
				words,
			).toBe(true);
			expect(right, words).toBeLessThanOrEqual(SHEET.width);
			expect(bottom, words).toBeLessThanOrEqual(SHEET.height);
		}
	});

	it.each(all)("of %s: type of 7 points and lines of half a point on A4", (_, { svg }) => {
		const point = (0.352_78 * SHEET.width) / 297;
		for (const { size, words } of labelsOf(svg)) {
			expect(size / point, words).toBeGreaterThanOrEqual(7);
		}
		const widths = [...svg.matchAll(/stroke-width="([\d.]+)"/g)].map(([, wide]) => Number(wide));
		expect(Math.min(...widths) / point).toBeGreaterThanOrEqual(0.5);
		expect(SHEET.width / SHEET.height).toBeCloseTo(297 / 210, 2);
	});

	it.each(all)("of %s: is well-formed", (_, { svg }) => {
		const open: string[] = [];
		for (const [, close, name, self] of svg.matchAll(/<(\/?)([a-z]+)[^>]*?(\/?)>/g)) {
			if (close === "/") expect(open.pop()).toBe(name);
			else if (self !== "/") open.push(name ?? "");
		}
		expect(open).toEqual([]);
		expect(svg).not.toMatch(/NaN|Infinity|undefined/);
	});

	it("moves the names of limits apart that lie close", () => {
		const { run, trace } = of("water-in-the-bowl");
		const setpoints = { ...run.rig.setpoints, primedFlowLph: 14, dryFlowLph: 12 };
		const svg = drawing({ ...run, rig: { ...run.rig, setpoints } }, trace);
		expect(svg).toContain("proves fuel 14");
		expect(collisions(labelsOf(svg))).toEqual([]);
	});

	it("lists each trip and each fault of a busy day, and counts what it leaves out", () => {
		const { run, trace, svg } = busy;
		const marks = marksOf(run.records, trace, 420, run.simulatedSeconds * 1000);
		const trips = marks.filter(({ lane }) => lane === "trips");
		expect(trips.length).toBeGreaterThan(10);
		const listed = labelsOf(svg).filter(({ words }) => /^\d+:\d\d:\d\d$/.test(words));
		const more = Number(/>(\d+) more: see the account/.exec(svg)?.[1]);
		const ticks = timeTicks(run.simulatedSeconds * 1000).length;
		expect(listed.length - ticks + more).toBe(marks.length);
	});

	it("is the same to the last byte for the same run", () => {
		expect(draw("stop-button").svg).toBe(of("stop-button").svg);
	});

	it("stays below 400 kB for a day of noise in every panel", () => {
		const { run, trace } = of("water-in-the-bowl");
		const svg = drawing({ ...run, simulatedSeconds: STRETCHES_MAX * 51.2 }, noisy(trace));
		expect(svg.length).toBeGreaterThan(200_000);
		expect(svg.length).toBeLessThan(400_000);
	});
});

describe("time on the axis", () => {
	it.each([
		[5, 6],
		[60, 7],
		[1_445, 5],
		[10_855, 7],
		[72_000, 7],
		[720_000, 9],
	])("of %d s has %d marks", (seconds, count) => {
		const ticks = timeTicks(seconds * 1000);
		expect(ticks.length).toBe(count);
		expect(ticks.every((ms) => ms % 1000 === 0 && ms <= seconds * 1000)).toBe(true);
	});
});

describe("in grey", () => {
	const looks = Object.entries(stateLooks);
	const pairs = looks.flatMap(([a], i) => looks.slice(i + 1).map(([b]) => [a, b] as const));

	it.each(pairs)("%s and %s differ by hatch or lightness", (a, b) => {
		const [one, other] = [a, b].map((name) => looks.find(([state]) => state === name)?.[1]);
		const isHatched = one?.hatch !== other?.hatch;
		const apart = Math.abs(lightness(one?.fill ?? "") - lightness(other?.fill ?? ""));
		expect(isHatched || apart >= 8).toBe(true);
	});

	it("each word in the band stands out from its fill", () => {
		for (const { fill, ink, hatch } of Object.values(stateLooks)) {
			if (hatch === null) expect(Math.abs(lightness(fill) - lightness(ink))).toBeGreaterThan(50);
		}
	});
});

describe("where nothing was sensed", () => {
	it("a controller that never ticks leaves the truth alone, under a hatch", () => {
		const { svg, trace } = draw("dead-computer", (scenario) => ({
			...scenario,
			faults: [
				{ atSeconds: 0, afterSeconds: 0, everyTime: false, fault: "controller-hangs" as const },
			],
		}));
		for (const name of tracedNames) {
			expect(trace.sensed[name].max.every((value) => value === null)).toBe(true);
			expect(trace.truth[name].max.every((value) => value !== null)).toBe(true);
		}
		const whole = boxesOf(svg, "url(#falling)").filter(
			([left, right]) => left === PLOT.left && right === PLOT.right,
		);
		expect(whole.length).toBe(tracedNames.length);
		expect(svg).toContain("unknown: no tick");
	});

	it("says so clear of the truth", () => {
		const labels = labelsOf(of("dead-computer").svg);
		const unknown = labels.filter(({ words }) => words === "unknown: no tick");
		expect(unknown.length).toBe(tracedNames.length);
		const belowTop = unknown.map(({ top }, i) => top - PANELS.top - i * PANELS.step);
		const [, , bowl = Number.NaN, , supply = Number.NaN] = belowTop;
		// The supply recovers to the top of its panel; in the bowl there is next to nothing.
		expect(bowl).toBeLessThan(15);
		expect(supply).toBeGreaterThan(bowl + 15);
	});

	it("a cut wire is a gap that says why, and no number", () => {
		const { svg, trace } = of("probe-wire-cut");
		const { unknown, max } = trace.sensed.bowlWaterMl;
		const cut = unknown
			.map((why, i) => ({ why, value: max[i] }))
			.filter(({ why }) => why === "open");
		expect(cut.length).toBeGreaterThan(20);
		expect(cut.every(({ value }) => value === null)).toBe(true);
		expect(svg).toContain("wire open");
	});

	it("a sensor that a rig lacks is called so all along", () => {
		const { trace, run } = of("stop-button");
		const nothing = trace.sensed.vacuumKpa.min.map(() => null);
		const lacking = {
			...trace.sensed.vacuumKpa,
			...{ min: nothing, max: nothing, unknown: nothing.map(() => "not-fitted") },
		};
		const svg = drawing(run, { ...trace, sensed: { ...trace.sensed, vacuumKpa: lacking } });
		expect(svg).toContain("no such sensor");
	});
});

describe("the trace", () => {
	it("is not kept unless it is asked for", () => {
		const { scenario, rig } = of("stop-button").run;
		expect(runScenario(scenario, rig, pins).trace).toBeNull();
	});

	it("holds the least and the greatest of the ticks in each stretch, and of no other", () => {
		const { scenario, rig } = of("water-in-the-bowl").run;
		const amps: number[] = [];
		const kpa: number[] = [];
		const { trace } = runScenario(scenario, rig, pins, {
			traced: true,
			afterStep: ({ motor, path }) => {
				amps.push(motor.amps);
				kpa.push(path.vacuumKpa);
			},
		});
		const ticks = (trace?.stretchMs ?? 0) / 100;
		expect(ticks).toBeGreaterThan(50);
		for (const [name, values] of [
			["motorAmps", amps],
			["vacuumKpa", kpa],
		] as const) {
			const stretches = Array.from({ length: Math.ceil(values.length / ticks) }, (_, i) =>
				values.slice(i * ticks, (i + 1) * ticks),
			);
			expect(trace?.truth[name].min).toEqual(stretches.map((some) => Math.min(...some)));
			expect(trace?.truth[name].max).toEqual(stretches.map((some) => Math.max(...some)));
		}
	});

	it("keeps a spike of one tick in hours", () => {
		const { trace } = of("water-in-the-bowl");
		expect(trace.stretchMs).toBeGreaterThan(5_000);
		const most = ({ max }: Extremes) => Math.max(...max.map((value) => value ?? 0));
		// The motor's inrush lasts a tick.
		expect(most(trace.truth.motorAmps)).toBeGreaterThan(3.5);
		expect(most(trace.sensed.motorAmps)).toBeGreaterThan(3.5);
	});
});
