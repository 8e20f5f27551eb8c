// Is the boat ready to leave? Each thing that a skipper should know of tanks, element, rig, engine
// and waste, held, not held, or unknown, and why. The one owner of that judgement. Pure; the time
// is an argument. Limits are common practice, no source: defaults that the caller may change.

import { trips } from "../../firmware/cycle/trips.ts";
import { recover } from "../../firmware/log/recovery.ts";
import { cautions } from "../web/words/note-cautions.ts";
import type { Check, ReadyAnswer } from "./answers.ts";
import { forecastOf } from "./element.ts";
import { lastRestriction } from "./element-spans.ts";
import { type NoteKind, type NoteOf, tankOf } from "./note.ts";
import { proofsCaution, proofsOf } from "./proofs.ts";
import type { ReadyLimits } from "./ready-limits.ts";
import { type RigLog, type RigRun, runsIn, spanOf, whenOf } from "./rig-log.ts";
import { litresIn } from "./totals.ts";
import { wasteLedger } from "./waste-ledger.ts";

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
/** A sample tells something once the fuel has stood for so long. */
const SAMPLE_AFTER_MS = DAY_MS;
/** Dead growth comes loose for so long after a dose. */
const DOSE_MS = 14 * DAY_MS;

const CLEAN =
	"Nothing here says that fuel is clean: only a sample or a lab's count (ISO 4406) may.";

type Verdict = Pick<Check, "status" | "why">;

export function readiness(rig: RigLog, limits: ReadyLimits, nowMs: number): ReadyAnswer {
	const runs = runsIn(rig);
	const tanks = tanksOf(rig, runs);
	const ofTanks = tanks.flatMap((tank): Check[] => [
		{ check: "turnovers", tank, ...turnovers(rig, runs, tank, limits) },
		{ check: "standing", tank, ...standing(runs, tank, limits, nowMs) },
		{ check: "sample", tank, ...sampled(rig, runs, tank) },
		{ check: "stand-time", tank, ...stood(rig, runs, tank, limits, nowMs) },
	]);
	const checks: Check[] = [
		...ofTanks,
		{ check: "element", tank: null, ...elementLeft(rig, limits) },
		{ check: "trips", tank: null, ...openTrips(rig) },
		{ check: "spares", tank: null, ...spares(rig, limits) },
		{ check: "waste", tank: null, ...waste(rig, limits) },
	];
	if (tanks.length === 0) {
		const why = "no run and no note tells of any tank";
		checks.unshift({ check: "turnovers", tank: null, status: "unknown", why });
	}
	const isReady = checks.every(({ status }) => status === "held");
	return { rig: rig.rig, isReady, atUtcMs: nowMs, checks, cautions: cautionsOf(rig, tanks, nowMs) };
}

const of = <K extends NoteKind>({ notes }: RigLog, kind: K): Array<NoteOf<K>> =>
	notes.filter((note): note is NoteOf<K> => note.kind === kind);

/** Tanks that a run or a note tells of, by name. */
export function tanksOf(rig: RigLog, runs: readonly RigRun[]): string[] {
	const worked = runs.flatMap(({ run: { order } }) => [order.tank, order.toTank ?? order.tank]);
	const noted = rig.notes.flatMap((note) => tankOf(note) ?? []);
	return [...new Set([...worked, ...noted])].sort();
}

/** A thing that is known only to lie within a span: held, not, or unknown. */
function within(isHeldAtLow: boolean, isHeldAtHigh: boolean): Check["status"] {
	if (isHeldAtLow && isHeldAtHigh) return "held";
	return isHeldAtLow || isHeldAtHigh ? "unknown" : "not";
}

/** Polished since then: surely, and by runs that may have begun before it or after. */
export function turnoversSince(
	runs: readonly RigRun[],
	tank: string,
	utcMs: number,
): { readonly sure: number; readonly maybe: number } {
	let [sure, maybe] = [0, 0];
	for (const { store, run } of runs) {
		const { order } = run;
		if (order.work !== "polish" || order.tank !== tank) continue;
		const share = litresIn([run]) / order.turnoverLitres;
		const began = spanOf(whenOf(store, run.begin));
		if (began.fromMs >= utcMs) sure += share;
		else if (began.toMs > utcMs) maybe += share;
	}
	return { sure, maybe };
}

function turnovers(
	rig: RigLog,
	runs: readonly RigRun[],
	tank: string,
	{ turnoversMin }: ReadyLimits,
): Verdict {
	const uplift = of(rig, "uplift").findLast((note) => note.tank === tank);
	const { sure, maybe } = turnoversSince(runs, tank, uplift?.atUtcMs ?? Number.NEGATIVE_INFINITY);
	const status = within(sure >= turnoversMin, sure + maybe >= turnoversMin);
	const since = uplift === undefined ? "in all (no uplift is noted)" : "since the last uplift";
	const undated = maybe === 0 ? "" : `; ${maybe.toFixed(1)} more may be before or after it`;
	const why = `${sure.toFixed(1)} turnovers ${since}${undated}; wanted ${turnoversMin}`;
	return { status, why };
}

/** When the tank's fuel was last moved through, or null. */
function lastStirred(runs: readonly RigRun[], tank: string): RigRun | null {
	const own = runs.filter(({ run: { order } }) => order.tank === tank || order.toTank === tank);
	return own.at(-1) ?? null;
}

/** When it ended; one that is under way has not. */
export function endOf({ store, run }: RigRun): { fromMs: number; toMs: number } | null {
	if (run.end === null) return null;
	const end = spanOf(whenOf(store, run.end));
	if (run.outcome !== "interrupted") return end;
	// That was found when the controller was back: days later, maybe.
	return { fromMs: spanOf(whenOf(store, run.begin)).fromMs, toMs: end.toMs };
}

function standing(
	runs: readonly RigRun[],
	tank: string,
	{ standingDaysMax }: ReadyLimits,
	nowMs: number,
): Verdict {
	const polished = runs.filter(
		({ run: { order } }) => order.tank === tank && order.work !== "transfer",
	);
	const last = polished.at(-1);
	if (last === undefined) return { status: "not", why: "never polished by what is here" };
	const end = endOf(last);
	if (end === null) return { status: "held", why: "it is being polished" };
	const [least, most] = [(nowMs - end.toMs) / DAY_MS, (nowMs - end.fromMs) / DAY_MS];
	const status = within(most <= standingDaysMax, least <= standingDaysMax);
	const stoodWords = spanWords(least, most, "days");
	const why = `stood ${stoodWords} since it was polished or swept; at most ${standingDaysMax}`;
	return { status, why };
}

/** As `3.5 days`, `1.0 to 6.2 days`, `at least 2.0 days`. */
function spanWords(least: number, most: number, unit: string): string {
	const low = Math.max(0, least).toFixed(1);
	if (!Number.isFinite(most)) {
		return Number.isFinite(least) ? `at least ${low} ${unit}` : `for an unknown time (${unit})`;
	}
	const high = Math.max(0, most).toFixed(1);
	if (!Number.isFinite(least)) return `at most ${high} ${unit}`;
	return low === high ? `${low} ${unit}` : `${low} to ${high} ${unit}`;
}

function sampled(rig: RigLog, runs: readonly RigRun[], tank: string): Verdict {
	const last = lastStirred(runs, tank);
	const end = last === null ? null : endOf(last);
	if (last !== null && end === null) return { status: "not", why: "its order is under way" };
	const own = of(rig, "sample").filter((note) => note.tank === tank && note.from !== "bowl");
	const note = own.at(-1);
	if (note === undefined) return { status: "not", why: "no sample is noted" };
	const { looked, atUtcMs, iso4406 } = note;
	const lab = iso4406 === null ? "" : `, lab ${iso4406}`;
	if (looked !== "clear") return { status: "not", why: `the last sample showed: ${looked}${lab}` };
	const uplift = of(rig, "uplift").findLast((one) => one.tank === tank);
	if (uplift !== undefined && uplift.atUtcMs > atUtcMs) {
		return { status: "not", why: "no sample since fuel was bought for it" };
	}
	if (end === null) return { status: "held", why: `the last sample looked clear${lab}` };
	const status = within(
		atUtcMs - end.toMs >= SAMPLE_AFTER_MS,
		atUtcMs - end.fromMs >= SAMPLE_AFTER_MS,
	);
	const why = {
		held: `a sample, 24 h or more after the last run, looked clear${lab}`,
		not: "no sample since the fuel stood for 24 h after the last run",
		unknown: "whether the sample came 24 h after the last run is not known: nor is when that ended",
	}[status];
	return { status, why };
}

/** Fuel that was moved or bought must settle before an engine draws it, and the engine stood. */
function stood(
	rig: RigLog,
	runs: readonly RigRun[],
	tank: string,
	{ standHoursMin }: ReadyLimits,
	nowMs: number,
): Verdict {
	const last = lastStirred(runs, tank);
	const end = last === null ? null : endOf(last);
	if (last !== null && end === null) {
		return { status: "not", why: "its order is under way: no engine on this tank" };
	}
	const bought = of(rig, "uplift").findLast((note) => note.tank === tank)?.atUtcMs ?? null;
	const fromMs = Math.max(end?.fromMs ?? 0, bought ?? 0);
	const toMs = Math.max(end?.toMs ?? 0, bought ?? 0);
	if (end === null && bought === null) {
		return { status: "unknown", why: "neither run nor uplift is known" };
	}
	const [least, most] = [(nowMs - toMs) / HOUR_MS, (nowMs - fromMs) / HOUR_MS];
	const settled = within(least >= standHoursMin, most >= standHoursMin);
	const words = `fuel stood ${spanWords(least, most, "h")}; wanted ${standHoursMin}`;
	if (settled !== "held" || last === null) return { status: settled, why: words };
	// An engine that ran meanwhile drew what was stirred up; a note tells of no time after it.
	const engine = of(rig, "engine").at(-1);
	const began = spanOf(whenOf(last.store, last.run.begin));
	if (engine === undefined || engine.atUtcMs < toMs + standHoursMin * HOUR_MS) {
		const why = `${words}; whether the engine stood meanwhile is not noted (lees note engine)`;
		return { status: "unknown", why };
	}
	const status = within(
		engine.standsSinceUtcMs <= began.fromMs,
		engine.standsSinceUtcMs <= began.toMs,
	);
	const engineWords = {
		held: "the engine stood all the while",
		not: "the engine ran after the run had begun: look at its filters",
		unknown: "whether the engine stood before the run is not known: the run is undated",
	}[status];
	return { status, why: `${words}; ${engineWords}` };
}

function elementLeft(rig: RigLog, { elementLeftPctMin }: ReadyLimits): Verdict {
	const last = lastRestriction(rig);
	if (last === null) {
		return { status: "unknown", why: "nothing is told of this element's restriction yet" };
	}
	const holds = last.record.element.dirtToChangeGrams;
	const { low, median, high } = forecastOf(last.record).grams;
	const leftPct = (100 * low) / holds;
	const grams = `takes ${median.toFixed(0)} g more (80 %: ${low.toFixed(0)} to ${high.toFixed(0)})`;
	const share = `at least ${leftPct.toFixed(0)} % of ${holds} g`;
	const why = `${grams}, ${share}; wanted ${elementLeftPctMin} %`;
	return { status: leftPct >= elementLeftPctMin ? "held" : "not", why };
}

function openTrips({ stores }: RigLog): Verdict {
	const last = stores.at(-1);
	if (last === undefined) return { status: "unknown", why: "no log of this rig is here" };
	const open = recover(last.history, { tanks: [] }).openTrips;
	const worst = [...open].sort((a, b) => trips[b.code].severity - trips[a.code].severity)[0];
	if (worst === undefined) return { status: "held", why: "none is open" };
	const codes = open.map(({ code }) => code).join(", ");
	return { status: "not", why: `${codes} not acknowledged: ${trips[worst.code].toDo}` };
}

/** As counted last, less each change since. */
function spares(rig: RigLog, { sparesMin }: ReadyLimits): Verdict {
	const counted = of(rig, "spare-elements").at(-1);
	if (counted === undefined) {
		return { status: "unknown", why: "nobody counted (lees note spare-elements)" };
	}
	const used = of(rig, "element-change").filter(({ atUtcMs }) => atUtcMs > counted.atUtcMs).length;
	const left = Math.max(0, counted.count - used);
	return {
		status: left >= sparesMin ? "held" : "not",
		why: `${left} on board; wanted ${sparesMin}`,
	};
}

function waste(rig: RigLog, { wasteMlMax }: ReadyLimits): Verdict {
	const { drainedMl, containedMl, handedMl, aboardMl, handed } = wasteLedger(rig);
	const bare = handed.filter(({ receipt }) => receipt === null).length;
	const receipts = bare === 0 ? "" : `; ${bare} handed in without a receipt`;
	const contained = containedMl === 0 ? "" : `${containedMl.toFixed(0)} mL put into containers, `;
	const handedIn = `${handedMl.toFixed(0)} mL handed in${receipts}`;
	const words = `${drainedMl.toFixed(0)} mL drained, ${contained}${handedIn}`;
	if (aboardMl <= wasteMlMax) return { status: "held", why: words };
	const aboard = `${aboardMl.toFixed(0)} mL still aboard; at most ${wasteMlMax}`;
	return { status: "not", why: `${words}: ${aboard}; to a licensed facility` };
}

function cautionsOf(rig: RigLog, tanks: readonly string[], nowMs: number): string[] {
	const dose = of(rig, "dose").at(-1);
	const isFresh = dose !== undefined && nowMs - dose.atUtcMs < DOSE_MS;
	const names = tanks.join(", ") || "none";
	const known = `Tanks looked at: ${names}. One without a run or a note is not known here.`;
	const proven = proofsCaution(proofsOf(rig, nowMs));
	return [CLEAN, known, ...(isFresh ? [cautions.dose] : []), ...(proven === null ? [] : [proven])];
}
