// The run timer's time, in ngspice: the period of its oscillator over what its gates, capacitor and
// resistors may be, trimmed as the page says, then off by temperature, age and the trimming itself.
// Its shortest time must leave the longest run that a rig file allows, and its longest is what a
// forged beat is ended by.

import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { INTERLOCK } from "../../firmware/interlock.ts";
import { RUN_S_MAX } from "../../sim/dead-man.ts";
import { deadManParts, folder, limits, nominal, nominalOf, type Values } from "./dead-man-parts.ts";
import { simulate } from "./spice.ts";

/** A stopwatch over a hundred periods, and a hand on the trimmer. */
const TRIMMED_WITHIN = 0.01;
/** What a gate's threshold moves over temperature and age, share of 5 V (from memory). */
const THRESHOLD_DRIFT = 0.02;
const SPAN_K = 40;
const PERIOD_S = (limits.runTimerMinutes * 60) / limits.runTimerCounts;
const MINUTES = limits.runTimerCounts / 60;

function oscillator(values: Values, seconds: number, stoppedAtS = 1e6): readonly number[] {
	const params = Object.entries({ ...nominal, ...values });
	const circuit = `run timer
${params.map(([name, value]) => `.param ${name}=${value}`).join("\n")}
.include ${join(folder, "run-timer.cir")}
Vq q14 0 pwl(0 0 ${stoppedAtS} 0 ${stoppedAtS + 1e-3} 5)
X1 q14 0 first runtimer
.ic v(x1.joint)=0`;
	const run = { circuit, celsius: 27, seconds, stepS: 0.001, mostS: 0.0005 };
	return simulate({ ...run, vectors: { first: "v(first)" } }).of.first ?? [];
}

/** Seconds at which the first gate's output rises. */
function risesOf(volts: readonly number[]): number[] {
	return volts.flatMap((now, i) => {
		const before = volts[i - 1] ?? now;
		return before < 2.5 && now >= 2.5 ? [(i - (now - 2.5) / (now - before)) / 1_000] : [];
	});
}

function periodS(values: Values): number {
	const rises = risesOf(oscillator(values, 7));
	const [from = Number.NaN, to = Number.NaN] = [rises.at(1), rises.at(2)];
	return to - from;
}

/** Turns the trimmer until the period is right, as whoever builds it does. */
function trimmed(values: Values): { rtrim: number; periodS: number } {
	const rt = values.rt ?? nominalOf("rt");
	let rtrim = nominalOf("rtrim") / 2;
	let found = periodS({ ...values, rtrim });
	for (let turn = 0; turn < 3; turn += 1) {
		rtrim = ((rt + rtrim) * PERIOD_S) / found - rt;
		found = periodS({ ...values, rtrim });
	}
	return { rtrim, periodS: found };
}

/** Share by which a part moves after it was trimmed. */
function drift(name: string): number {
	const part = deadManParts.parts.find((one) => one.in === name);
	if (part === undefined) throw new Error(`parts.yaml has no ${name}`);
	return part.tolerance.ages + (part.tolerance.ppmPerK * SPAN_K) / 1e6;
}

const bought = (name: string, sign: number) => {
	const tolerance = deadManParts.parts.find((one) => one.in === name)?.tolerance.bought ?? 0;
	return nominalOf(name) * (1 + sign * tolerance);
};

describe.each([
	["low", 0.33],
	["middle", 0.5],
	["high", 0.67],
])("the run timer with gates that turn at a %s voltage", (_, vtimer) => {
	it("can be trimmed to its time with any parts, and keeps it within its limits", () => {
		const minutes = [-1, 1].flatMap((sign) => {
			const values = { vtimer, ct: bought("ct", sign), rt: bought("rt", sign) };
			const { rtrim, periodS: right } = trimmed(values);
			expect(Math.abs(right / PERIOD_S - 1)).toBeLessThan(TRIMMED_WITHIN / 5);
			expect(rtrim).toBeGreaterThan(0);
			expect(rtrim).toBeLessThan(bought("rtrim", -1));
			return [-1, 1].flatMap((way) =>
				[-THRESHOLD_DRIFT, THRESHOLD_DRIFT].map((moved) => {
					const off = (name: string, value: number) => value * (1 + way * drift(name));
					const ct = off("ct", values.ct);
					const rt = off("rt", values.rt);
					const period = periodS({
						ct,
						rt,
						rtrim: off("rtrim", rtrim),
						vtimer: vtimer + moved,
					});
					return period * (1 + way * TRIMMED_WITHIN) * MINUTES;
				}),
			);
		});
		const [shortest, longest] = [Math.min(...minutes), Math.max(...minutes)];
		console.log(`run timer: ${shortest.toFixed(1)} to ${longest.toFixed(1)} min`);
		expect(shortest).toBeGreaterThan(limits.runTimerLeast);
		expect(longest).toBeLessThan(limits.runTimerMost);
	});
});

describe("the run timer's limits", () => {
	it("leave the longest run that a rig file allows, and the interlock's before that", () => {
		expect(limits.runTimerLeast).toBeGreaterThan(limits.runMinutesMax);
		// Its time begins with the proof of K1, four seconds before the pump's.
		expect(limits.runTimerLeast * 60_000 - 4_000).toBeGreaterThan(INTERLOCK.pumpOnMsMax);
		expect(INTERLOCK.pumpOnMsMax).toBeGreaterThan(limits.runMinutesMax * 60_000);
	});

	it("hold the simulated rig's timer", () => {
		expect(RUN_S_MAX).toBe(limits.runTimerMinutes * 60);
	});
});

it("stands once its time is over", () => {
	const rises = risesOf(oscillator({}, 12, 5));
	expect(rises.filter((atS) => atS < 5).length).toBeGreaterThan(1);
	expect(rises.filter((atS) => atS > 5.1)).toEqual([]);
});
