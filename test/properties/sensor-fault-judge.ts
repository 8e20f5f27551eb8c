// Whether a cell of the table of sensor, fault and state is as its row says: what is not, in words.
// Pure but for the runs that it asks for.

import type { LogRecord } from "../../firmware/log/record.ts";
import {
	type Answer,
	type Cell,
	faultOf,
	nameOf,
	type Point,
} from "../../host/report/sensor-faults.ts";
import { outcomeOf } from "../../sim/bench/judge.ts";
import { ACKNOWLEDGED_S, healthyRun, ORDER_S, play, type StoryRun } from "./sensor-fault-story.ts";

/** The controller's state, and whether the motor has power, where a fault begins. */
const AT: Readonly<Record<Point, readonly [state: string, powered: boolean]>> = {
	off: ["idle", false],
	"starting/warning": ["priming", false],
	"starting/drawing": ["priming", true],
	pumping: ["polishing", true],
	"between/resting": ["resting", false],
	"between/held": ["held", false],
	tripped: ["tripped", false],
};

/** The pump is off within a tick or two of its stop, s. */
const OFF_S = 0.25;
/** Times are told in whole ticks; sums of them round, s. */
const ROUNDING_S = 0.05;
/** What runs of the same controller may differ by: a tick's noise. */
const SAME = { seconds: 1, litres: 0.1 };

/** What a run tells of its cell. */
interface Facts {
	readonly run: StoryRun;
	readonly onsetS: number;
	/** From where the row's seconds count, s. */
	readonly fromS: number;
	/** After the fault began. */
	readonly trips: ReadonlyArray<{ code: string; cause: string; atS: number }>;
	/** Every reason given after the fault began, for what was refused or ended. */
	readonly reasons: ReadonlyArray<{ words: string; atS: number }>;
	/** When the pump was last switched off after the fault began; null if it never ran. */
	readonly pumpedAfterS: number | null;
}

const seconds = (record: LogRecord) => record.monoMs / 1000;

function factsOf(cell: Cell, run: StoryRun): Facts | string {
	const { row, point } = cell;
	const fault = faultOf(cell);
	const onsetS = fault === null ? undefined : run.happened[fault.fault];
	if (onsetS === undefined) return "no scenario reaches it: the fault never began";
	const [state, powered] = AT[point];
	const was = run.records.findLast((one) => one.kind === "state" && seconds(one) < onsetS);
	const wasState = was?.kind === "state" ? was.to : "idle";
	const wasOn = run.switched.findLast(({ atS }) => atS < onsetS + ROUNDING_S)?.on ?? false;
	if (wasState !== state || wasOn !== powered) {
		return `it began while ${wasState}, motor ${wasOn ? "on" : "off"}`;
	}
	const hazard = "whenHazard" in row ? row.whenHazard : undefined;
	const originS = hazard === undefined ? onsetS : run.happened[hazard];
	if (originS === undefined) return `${hazard} never happened`;
	const after = run.records.filter((record) => seconds(record) >= onsetS);
	const lastOnS = run.switched.findLast(({ on }) => !on)?.atS ?? null;
	return {
		run,
		onsetS,
		fromS: Math.max(originS, countedFromS(cell, run, onsetS, originS)),
		trips: after.flatMap((record) =>
			record.kind === "trip"
				? [{ code: record.code, cause: record.cause, atS: seconds(record) }]
				: [],
		),
		reasons: after.flatMap((record) =>
			"reasons" in record ? record.reasons.map((words) => ({ words, atS: seconds(record) })) : [],
		),
		pumpedAfterS: run.pumpRunsAtEnd
			? run.simulatedSeconds
			: lastOnS !== null && lastOnS > onsetS
				? lastOnS
				: null,
	};
}

function countedFromS({ row, point }: Cell, run: StoryRun, onsetS: number, originS: number) {
	const by = "by" in row ? row.by : undefined;
	if (by === "stop") {
		const stop = run.switched.find(({ on, atS }) => !on && atS >= originS);
		return stop?.atS ?? originS;
	}
	if (by !== "start") return originS;
	if (point === "off") return ORDER_S;
	const staged = run.records.find((one) => one.kind === "trip");
	if (point === "tripped" && staged !== undefined) return seconds(staged) + ACKNOWLEDGED_S;
	const start = run.records.find(
		(one) => one.kind === "state" && one.to === "priming" && seconds(one) >= onsetS,
	);
	return start === undefined ? originS : seconds(start);
}

/** What is not as the row says, with the cell's name before it; empty when all is. */
export function problemsOf(cell: Cell): string[] {
	// A row for what a channel cannot have.
	if (faultOf(cell) === null)
		return cell.row.answer === "harmless" ? [] : [`${nameOf(cell)}: is not`];
	const facts = factsOf(cell, play(cell));
	const found = typeof facts === "string" ? [facts] : judged(cell, facts);
	return found.map((words) => `${nameOf(cell)}: ${words}`);
}

function judged(cell: Cell, facts: Facts): string[] {
	const { row } = cell;
	switch (row.answer) {
		case "trip":
			return tripProblems(row, facts);
		case "unknown":
			return [...unknownProblems(cell, row, facts), ...attendedProblems(cell, row)];
		case "harmless":
			return harmlessProblems(cell, row, facts);
		case "undetected":
			return [...undetectedProblems(row, facts), ...hazardProblems(cell, row)];
	}
}

function tripProblems(row: Answer<"trip">, facts: Facts): string[] {
	const { codes, withinSeconds, refused, pumpOffSeconds } = row;
	const { trips, reasons, fromS, onsetS, pumpedAfterS, run } = facts;
	const [first] = trips;
	if (first === undefined) {
		const told = reasons.find(({ words }) => refused !== undefined && words.includes(refused));
		if (told !== undefined && (pumpedAfterS ?? 0) < told.atS + OFF_S) return [];
		return [`no trip, ends ${outcomeOf(run)}; ${reasonWords(reasons)}`];
	}
	const problems: string[] = [];
	if (!codes.some((code) => code === first.code)) problems.push(tripWords(first, onsetS));
	const lateS = first.atS - fromS;
	// What is refused before it trips has no time.
	if (lateS > withinSeconds + ROUNDING_S)
		problems.push(`${first.code} after ${lateS.toFixed(1)} s`);
	if (row.whenHazard !== undefined && row.by !== "start" && first.atS < fromS - ROUNDING_S) {
		problems.push(`${first.code} before ${row.whenHazard}`);
	}
	const offS = pumpOffSeconds === undefined ? first.atS + OFF_S : fromS + pumpOffSeconds;
	if (pumpedAfterS !== null && pumpedAfterS > offS + ROUNDING_S) {
		problems.push(`the pump ran until ${(pumpedAfterS - fromS).toFixed(1)} s`);
	}
	return problems;
}

function unknownProblems(
	{ channel }: Cell,
	{ withinSeconds, names = channel }: Answer<"unknown">,
	facts: Facts,
): string[] {
	const { trips, reasons, fromS, onsetS, pumpedAfterS, run } = facts;
	const [first] = trips;
	if (first === undefined) {
		if (pumpedAfterS !== null) return [`no trip, ends ${outcomeOf(run)}`];
		const told = reasons.some(({ words }) => words.includes(names));
		return told ? [] : [`does not name ${names}: ${reasonWords(reasons)}`];
	}
	if (withinSeconds === undefined) return [`${tripWords(first, onsetS)}, not refused`];
	const lateS = first.atS - fromS;
	const problems: string[] = [];
	if (first.code !== "sensor-fault") problems.push(tripWords(first, onsetS));
	if (!first.cause.includes(names)) problems.push(`does not name ${names}: ${first.cause}`);
	if (lateS > withinSeconds + ROUNDING_S) problems.push(`after ${lateS.toFixed(1)} s`);
	if (pumpedAfterS !== null && pumpedAfterS > first.atS + OFF_S) problems.push("the pump ran on");
	return problems;
}

/** The same cell with somebody at the rig. */
function attendedProblems(cell: Cell, { attended }: Answer<"unknown">): string[] {
	const facts = factsOf(cell, play(cell, { attended: true }));
	if (typeof facts === "string") return [`attended: ${facts}`];
	const { trips, run } = facts;
	const outcome = outcomeOf(run);
	if (attended === "stops") {
		return outcome === "finished" ? ["attended, it goes on"] : [];
	}
	const problems = trips.map((trip) => tripWords(trip, facts.onsetS));
	if (outcome !== "finished") problems.push(`ends ${outcome}; ${reasonWords(facts.reasons)}`);
	return problems.map((words) => `attended: ${words}`);
}

function harmlessProblems(cell: Cell, row: Answer<"harmless">, facts: Facts): string[] {
	const { trips, run, pumpedAfterS, onsetS, reasons } = facts;
	const problems = trips.map((trip) => tripWords(trip, onsetS));
	if (row.waits === true) {
		if (pumpedAfterS !== null) problems.push("the pump ran");
		return problems;
	}
	const outcome = outcomeOf(run);
	if (outcome !== "finished") problems.push(`ends ${outcome}; ${reasonWords(reasons)}`);
	if (row.litres === "suffer") return problems;
	const well = healthyRun(cell).truth;
	const pumpOnS = run.truth.pumpOnSeconds - well.pumpOnSeconds;
	const litres = run.truth.litresThroughPump - well.litresThroughPump;
	if (Math.abs(pumpOnS) > SAME.seconds) problems.push(`pump on ${pumpOnS.toFixed(1)} s longer`);
	if (Math.abs(litres) > SAME.litres) problems.push(`${litres.toFixed(2)} L more`);
	return problems;
}

function undetectedProblems(row: Answer<"undetected">, facts: Facts): string[] {
	const { trips, run, onsetS, reasons } = facts;
	const stop = run.switched.find(({ on, atS }) => !on && atS >= onsetS);
	const early = trips.filter(({ atS }) => stop === undefined || atS < stop.atS + OFF_S);
	const problems = (row.later === undefined ? trips : early).map((trip) => tripWords(trip, onsetS));
	if (row.later === undefined) {
		const outcome = outcomeOf(run);
		if (outcome !== "finished") problems.push(`ends ${outcome}; ${reasonWords(reasons)}`);
	} else if (!trips.some(({ code }) => code === row.later)) {
		problems.push(`${row.later} does not find it later`);
	}
	return problems;
}

/** A hazard that a good sensor would not have seen either proves nothing. */
function hazardProblems(cell: Cell, { whenHazard }: Answer<"undetected">): string[] {
	if (whenHazard === undefined) return [];
	const { records, happened } = healthyRun(cell);
	const fromS = happened[whenHazard] ?? Number.POSITIVE_INFINITY;
	const sees = records.some((record) => {
		const rests = record.kind === "state" && record.why === "motor-warm";
		return (record.kind === "trip" || rests) && seconds(record) >= fromS;
	});
	return sees ? [] : [`${whenHazard} is not seen by good sensors either`];
}

const tripWords = ({ code, cause, atS }: Facts["trips"][number], onsetS: number) =>
	`trips ${code} ${(atS - onsetS).toFixed(1)} s after the fault (${cause})`;

const reasonWords = (reasons: Facts["reasons"]) =>
	reasons.length === 0
		? "nothing refused"
		: `refused: ${[...new Set(reasons.map(({ words }) => words))].join("; ")}`;
