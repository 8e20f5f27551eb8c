// Judges a run by its scenario's expectations, and sums it up as the bench's JSON object.
// What was logged comes from the records alone; the truth is the simulator's, which the controller
// never sees.

import { stateName } from "../../firmware/cycle/advance.ts";
import { hours, litres, rigTally } from "../../firmware/totals.ts";
import type { Truth } from "../rig.ts";
import type { Expectation, TruthEvent } from "./scenario.ts";
import type { BenchRun, BoardKind, TraceHashes } from "./session.ts";

export interface Verdict {
	readonly text: string;
	readonly held: boolean;
	readonly found: string;
}

export interface BenchResult {
	readonly scenario: string;
	readonly seed: number;
	readonly board: BoardKind;
	readonly simulatedSeconds: number;
	readonly wallSeconds: number;
	readonly outcome: string;
	readonly trips: ReadonlyArray<{ code: string; atSeconds: number; cause: string }>;
	readonly logged: { readonly hours: number; readonly litres: number };
	readonly truth: Truth;
	readonly expectations: readonly Verdict[];
	readonly hashes?: TraceHashes;
}

export function sumUp(name: string, run: BenchRun, wallSeconds: number): BenchResult {
	return {
		scenario: name,
		seed: run.seed,
		board: run.board,
		simulatedSeconds: run.simulatedSeconds,
		wallSeconds,
		outcome: outcomeOf(run),
		trips: tripsOf(run),
		logged: loggedOf(run),
		truth: run.truth,
		expectations: [
			...run.scenario.expect.map((expectation) => judge(expectation, run)),
			...run.scenario.nearly.map(({ trip }) => judgeMiss(trip, run)),
		],
		...(run.hashes === undefined ? {} : { hashes: run.hashes }),
	};
}

function tripsOf(run: BenchRun): Array<{ code: string; atSeconds: number; cause: string }> {
	return run.records.flatMap((record) =>
		record.kind === "trip"
			? [{ code: record.code, atSeconds: record.monoMs / 1000, cause: record.cause }]
			: [],
	);
}

function loggedOf(run: BenchRun): { hours: number; litres: number } {
	const rig = rigTally(run.state.totals);
	return { hours: hours(rig), litres: litres(rig, run.rig) };
}

/** How the story ended, in the controller's words. */
export function outcomeOf(run: BenchRun): string {
	if (run.hung) return "controller dead";
	const [worst] = run.state.cycle.context.trips;
	if (worst !== undefined) return `tripped: ${worst.code}`;
	const ends = run.records.filter((record) => record.kind === "run-end");
	const last = ends.at(-1);
	if (run.state.cycle.context.order !== null) return "unfinished";
	if (last !== undefined) return last.outcome;
	const refused = run.records.some((record) => record.kind === "order-refused");
	return refused ? "refused" : stateName(run.state.cycle.value);
}

function judge(expectation: Expectation, run: BenchRun): Verdict {
	if ("outcome" in expectation) {
		const found = outcomeOf(run);
		return verdict(`ends ${expectation.outcome}`, found === expectation.outcome, found);
	}
	if ("trips" in expectation) {
		const found = tripsOf(run).map(({ code }) => code);
		const text = `trips: ${list(expectation.trips)}`;
		return verdict(text, list(found) === list(expectation.trips), list(found));
	}
	if ("trip" in expectation) {
		const { trip, withinSeconds, after } = expectation;
		const from = run.happened[after] ?? 0;
		const found = tripsOf(run).find(({ code, atSeconds }) => code === trip && atSeconds >= from);
		const at = found?.atSeconds;
		return within(`${trip} within ${withinSeconds} s of ${after}`, at, run, after, withinSeconds);
	}
	if ("pumpOffWithinSeconds" in expectation) {
		const { pumpOffWithinSeconds: limit, after } = expectation;
		const at = run.pumpRunsAtEnd ? undefined : (run.lastPumpS ?? 0);
		return within(`pump off within ${limit} s of ${after}`, at, run, after, limit);
	}
	if ("state" in expectation) {
		const { state, times } = expectation;
		const found = run.records.filter((r) => r.kind === "state" && r.to === state).length;
		return verdict(`enters ${state} ${times} times`, found === times, String(found));
	}
	if ("logged" in expectation) {
		const { logged, ...range } = expectation;
		return inRange(`logged ${logged}`, loggedOf(run)[logged], range);
	}
	if ("truth" in expectation) {
		const { truth, ...range } = expectation;
		return inRange(`truth ${truth}`, run.truth[truth], range);
	}
	if ("litresWithinPct" in expectation) {
		const { litres: logged } = loggedOf(run);
		const error = 100 * (logged / run.truth.litresThroughPump - 1);
		const text = `logged litres within ${expectation.litresWithinPct} % of the truth`;
		return verdict(text, Math.abs(error) <= expectation.litresWithinPct, `${error.toFixed(2)} %`);
	}
	if ("invariant" in expectation) {
		const { invariant } = expectation;
		const broken = run.violations.find((one) => one.invariant === invariant);
		const found = broken === undefined ? "held" : `broken at ${broken.atSeconds.toFixed(1)} s`;
		return verdict(`holds: ${invariant}`, broken === undefined, found);
	}
	if ("stepsDue" in expectation) {
		const { stepsDue } = expectation;
		const found = run.stepsDue.length;
		const named = found === 0 ? "none" : `${found}, the first: ${run.stepsDue[0]}`;
		return verdict(`${stepsDue} steps due`, found === stepsDue, named);
	}
	if ("stepFailed" in expectation) {
		const { stepFailed } = expectation;
		const of = run.records.filter((record) => "step" in record && record.step === stepFailed);
		const passed = of.some((record) => record.kind === "proof" && record.passed);
		const found = of.length === 0 ? "never begun" : passed ? "passed" : "not passed";
		return verdict(`fails: ${stepFailed}`, found === "not passed", found);
	}
	const reasons = run.records.flatMap((record) => ("reasons" in record ? record.reasons : []));
	const wanted = expectation.refusedBecause;
	const held = reasons.some((reason) => reason.includes(wanted));
	const found = reasons.find((reason) => reason.includes(wanted)) ?? list(reasons);
	return verdict(`refused because "${wanted}"`, held, found);
}

function judgeMiss(trip: string, run: BenchRun): Verdict {
	const found = tripsOf(run).find(({ code }) => code === trip);
	const words = found === undefined ? "missed" : `tripped at ${found.atSeconds.toFixed(1)} s`;
	return verdict(`misses ${trip}`, found === undefined, words);
}

function within(
	text: string,
	atSeconds: number | undefined,
	run: BenchRun,
	after: TruthEvent,
	limit: number,
): Verdict {
	const fromSeconds = run.happened[after];
	if (fromSeconds === undefined) return verdict(text, false, `${after} never happened`);
	if (atSeconds === undefined) return verdict(text, false, "it never came");
	// Off before it happened is off within no time at all.
	const delay = Math.max(0, atSeconds - fromSeconds);
	return verdict(text, delay <= limit, `${delay.toFixed(1)} s`);
}

function inRange(
	name: string,
	found: number,
	{ atLeast, atMost }: { atLeast?: number | undefined; atMost?: number | undefined },
): Verdict {
	const words = [
		...(atLeast === undefined ? [] : [`at least ${atLeast}`]),
		...(atMost === undefined ? [] : [`at most ${atMost}`]),
	];
	const held = found >= (atLeast ?? -Infinity) && found <= (atMost ?? Infinity);
	return verdict(`${name} ${words.join(", ")}`, held, String(Number(found.toPrecision(6))));
}

function verdict(text: string, held: boolean, found: string): Verdict {
	return { text, held, found };
}

function list(codes: readonly string[]): string {
	return codes.length === 0 ? "none" : codes.join(", ");
}
