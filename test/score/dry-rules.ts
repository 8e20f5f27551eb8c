// The detector of dry run beside the plain rule, flow under a threshold for a delay, over the same
// traces with the pump kept on. Both are tuned on training seeds, the plain rule by a grid over
// threshold and delay, and compared on other seeds: at as few false stops, whose delay is shorter?

import { followDryRun, NO_DRY_RUN, planDryRun } from "../../firmware/sense/dry-run.ts";
import type { Moment } from "../../firmware/sense/quantity.ts";
import { type Curve, type CurvePoint, drawRules } from "./dry-plot.ts";
import { DRY_SOURCES } from "./dry-sources.ts";
import { causes, drawFrom, dryStory, rollingStory } from "./dry-stories.ts";
import { airFromTick, recordTrace, TICK_S, type Trace } from "./dry-traces.ts";
import { quantile } from "./poisson.ts";
import type { Score } from "./score.ts";
import { shareOut } from "./threads.ts";

/** Limits of the detector's sum, ms. */
const LIMITS_MS = [250, 375, 500, 750, 1_000, 1_500, 2_000, 3_000, 4_000, 5_000];
/** Thresholds of the plain rule, from what the meter gives on air to what free flow gives. */
const THRESHOLDS = [0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8];
const DELAYS_S = [0, 0.5, 1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10];
const AIR_TURNS = { "positive-displacement": 0.05, turbine: 0.4 } as const;
/** A rule that never stops it is given so long, s. */
const NEVER_S = 60;
const FALSE_OVER = 0.85;
/** After a stop the pump would not run: the next counts so much later, ticks. */
const APART = 100;
const ROLLING_S = 600;
const DRY_S = 260;
const HAPPENS_S = 100;
const SETS = {
	training: { rolling: 300, dry: 160, seed: 200_000 },
	other: { rolling: 600, dry: 320, seed: 500_000 },
} as const;
type SetName = keyof typeof SETS;

interface Job {
	readonly set: SetName;
	readonly kind: "rolling" | "dry";
	readonly seeds: readonly number[];
}

/** Of each setting of a rule: false stops, or delays; and the hours in which it could be false. */
interface Answer extends Job {
	readonly hours: number;
	readonly ours: number[][];
	readonly plain: number[][];
}

type Rule = (trace: Trace, stops: (tick: number) => void) => void;

function detector(limitMs: number): Rule {
	return (trace, stops) => {
		const plan = { ...planDryRun(trace.rig), limitMs };
		let state = NO_DRY_RUN;
		for (let tick = 0; tick < trace.ticks; tick += 1) {
			const vacuum = trace.vacuumKpa[tick] ?? Number.NaN;
			const readings = {
				flowLph: trace.flowLph[tick] ?? 0,
				motorAmps: trace.amps[tick] ?? 0,
				vacuumKpa: Number.isNaN(vacuum) ? ("not-fitted" as const) : vacuum,
				pulses: trace.pulses[tick] ?? 0,
				motorMs: 1000 * TICK_S,
				dryMs: 0,
			};
			state = followDryRun(state, plan, readings, { ...PUMPING, nowMs: (tick + 1) * 100 });
			if (state.airMs < limitMs) continue;
			stops(tick);
			// The run is over; what fuel gives is known all the same.
			state = { ...NO_DRY_RUN, onFuel: state.onFuel };
		}
	};
}

const PUMPING: Omit<Moment, "nowMs"> = {
	elapsedMs: 100,
	motorOn: true,
	polishing: true,
	// Without an order there is nothing to hold: the sum alone is compared.
	run: null,
	tank: "port",
	sameTank: true,
	toTank: undefined,
};

function plain(threshold: number, delayS: number): Rule {
	return ({ rig, flowLph, ticks }, stops) => {
		const air = AIR_TURNS[rig.meter.kind];
		const limitLph = rig.pump.freeFlowLph * (air + threshold * (1 - air));
		const need = Math.round(delayS / TICK_S);
		let under = 0;
		for (let tick = 0; tick < ticks; tick += 1) {
			under = (flowLph[tick] ?? 0) < limitLph ? under + 1 : 0;
			if (under <= need) continue;
			stops(tick);
			under = 0;
		}
	};
}

const ours = LIMITS_MS.map(detector);
const settings = THRESHOLDS.flatMap((share) => DELAYS_S.map((delayS) => ({ share, delayS })));
const plains = settings.map(({ share, delayS }) => plain(share, delayS));

/** @public Called by the threads, by its name. */
export function part(job: Job): Answer {
	const answer: Answer = {
		...job,
		hours: 0,
		ours: ours.map(() => []),
		plain: plains.map(() => []),
	};
	let hours = 0;
	for (const [i, seed] of job.seeds.entries()) {
		const { between } = drawFrom(seed ^ 0x11_d7);
		const cause = causes[i % causes.length] ?? "tube lifted";
		const isRolling = job.kind === "rolling";
		const story = isRolling ? rollingStory(seed, between(0.05, 0.15)) : dryStory(seed, cause);
		const trace = recordTrace(story, isRolling ? ROLLING_S : DRY_S, isRolling ? 1e9 : HAPPENS_S);
		if (trace === null) continue;
		const from = isRolling ? 0 : airFromTick(trace);
		if (from === null) continue;
		hours += (trace.ticks * TICK_S) / 3_600;
		const measure = isRolling ? falseStops : (rule: Rule) => delayOf(rule, trace, from);
		for (const [k, rule] of ours.entries()) answer.ours[k]?.push(measure(rule, trace));
		for (const [k, rule] of plains.entries()) answer.plain[k]?.push(measure(rule, trace));
	}
	return { ...answer, hours };
}

function falseStops(rule: Rule, trace: Trace): number {
	let count = 0;
	let last = -APART;
	rule(trace, (tick) => {
		if (tick - last < APART || (trace.coveredShare[tick] ?? 0) < FALSE_OVER) return;
		last = tick;
		count += 1;
	});
	return count;
}

/** From the air that never went again; a stop before it came is one at once. */
function delayOf(rule: Rule, trace: Trace, from: number): number {
	let first = -1;
	rule(trace, (tick) => {
		if (first < 0 && tick * TICK_S >= HAPPENS_S) first = tick;
	});
	return first < 0 ? NEVER_S : Math.min(NEVER_S, Math.max(0, (first - from) * TICK_S));
}

/** Of each setting, over all traces of a set. */
function pointsOf(answers: readonly Answer[], set: SetName, rule: "ours" | "plain"): CurvePoint[] {
	const of = (kind: Job["kind"]) => answers.filter((one) => one.set === set && one.kind === kind);
	const hours = of("rolling").reduce((sum, one) => sum + one.hours, 0);
	const count = rule === "ours" ? ours.length : plains.length;
	return Array.from({ length: count }, (_, k) => {
		const events = of("rolling").flatMap((one) => one[rule][k] ?? []);
		const delays = of("dry").flatMap((one) => one[rule][k] ?? []);
		const falseStops = events.reduce((sum, one) => sum + one, 0);
		return {
			falsePer1000Hours: (1_000 * falseStops) / hours,
			medianS: quantile(delays, 0.5),
			p99S: quantile(delays, 0.99),
			missed: delays.filter((delay) => delay >= NEVER_S).length,
		};
	});
}

/** The setting with the shortest median among those with no more false stops than that. */
function bestAt(points: readonly CurvePoint[], falsePer1000Hours: number): number {
	let best = -1;
	points.forEach((point, k) => {
		if (point.falsePer1000Hours > falsePer1000Hours || point.missed > 0) return;
		if (best < 0 || point.medianS < (points[best]?.medianS ?? Infinity)) best = k;
	});
	return best;
}

/** What each number of false stops in training buys, shown on the other seeds. */
function curveOf(training: readonly CurvePoint[], other: readonly CurvePoint[]): CurvePoint[] {
	const levels = [...new Set(training.map((point) => point.falsePer1000Hours))];
	const chosen = new Set(levels.map((level) => bestAt(training, level)));
	return [...chosen].flatMap((k) => other[k] ?? []).sort((a, b) => a.medianS - b.medianS);
}

export const dryRules: Score = {
	name: "dry-rules",
	title: "Dry run: the detector beside flow under a threshold for a delay, on the same traces",
	measures: ["test/score/dry-rules.ts", "test/score/dry-plot.ts", ...DRY_SOURCES],
	goals: [
		{
			figure: "fasterMedianS",
			atLeast: 0.05,
			words: "shorter median delay, both tuned to no false stop on the training seeds",
		},
		{ figure: "fasterP99S", atLeast: 0, words: "the same for the 99th percentile" },
	],
	async run() {
		const jobs: Job[] = (["training", "other"] as const).flatMap((set) =>
			(["rolling", "dry"] as const).flatMap((kind) =>
				Array.from({ length: SETS[set][kind] / 20 }, (_, i) => ({
					set,
					kind,
					seeds: Array.from({ length: 20 }, (__, j) => SETS[set].seed + 997 * i + 13 * j),
				})),
			),
		);
		const answers = await shareOut<Job, Answer>(import.meta.url, jobs);
		const points = (set: SetName, rule: "ours" | "plain") => pointsOf(answers, set, rule);
		const training = { ours: points("training", "ours"), plain: points("training", "plain") };
		const other = { ours: points("other", "ours"), plain: points("other", "plain") };
		const chosen = { ours: bestAt(training.ours, 0), plain: bestAt(training.plain, 0) };
		const found = { ours: other.ours[chosen.ours], plain: other.plain[chosen.plain] };
		const preset = other.ours[LIMITS_MS.indexOf(2_000)];
		const curves: Curve[] = [
			{
				name: "flow, current, vacuum: CUSUM",
				isOurs: true,
				points: curveOf(training.ours, other.ours),
			},
			{
				name: "flow under a threshold",
				isOurs: false,
				points: curveOf(training.plain, other.plain),
			},
		];
		const hours = answers
			.filter(({ set, kind }) => set === "other" && kind === "rolling")
			.reduce((sum, one) => sum + one.hours, 0);
		const setting = settings[chosen.plain];
		return {
			figures: rounded({
				fasterMedianS: (found.plain?.medianS ?? 0) - (found.ours?.medianS ?? NEVER_S),
				fasterP99S: (found.plain?.p99S ?? 0) - (found.ours?.p99S ?? NEVER_S),
				oursLimitMs: LIMITS_MS[chosen.ours] ?? 0,
				oursMedianS: found.ours?.medianS ?? 0,
				oursP99S: found.ours?.p99S ?? 0,
				oursFalsePer1000Hours: found.ours?.falsePer1000Hours ?? 0,
				plainThresholdPct: 100 * (setting?.share ?? 0),
				plainDelayS: setting?.delayS ?? 0,
				plainMedianS: found.plain?.medianS ?? 0,
				plainP99S: found.plain?.p99S ?? 0,
				plainFalsePer1000Hours: found.plain?.falsePer1000Hours ?? 0,
				presetMedianS: preset?.medianS ?? 0,
				presetP99S: preset?.p99S ?? 0,
				presetFalsePer1000Hours: preset?.falsePer1000Hours ?? 0,
				rollingHours: hours,
				dryTraces: answers
					.filter(({ set, kind }) => set === "other" && kind === "dry")
					.reduce((sum, one) => sum + (one.ours[0]?.length ?? 0), 0),
			}),
			drawings: { "dry-rules.svg": drawRules(curves, hours) },
		};
	},
};

function rounded(figures: Record<string, number>): Record<string, number> {
	return Object.fromEntries(
		Object.entries(figures).map(([name, value]) => [name, Number(value.toFixed(2))]),
	);
}
