// When is a tank next due, and why: the one owner of that rule. Each reason has the time at which
// it falls due, as sure as the dates that it comes from; the first one decides. Pure; the time is
// an argument. The rule is common practice, no source; so are its limits, which the caller may
// change.

import type { NextDue } from "./due-schema.ts";
import type { NoteKind, NoteOf } from "./note.ts";
import { endOf, turnoversSince } from "./readiness.ts";
import type { SeasonLimits } from "./ready-limits.ts";
import { type RigLog, type RigRun, runsIn, spanOf, whenOf } from "./rig-log.ts";
import { tripsOf } from "./trip-list.ts";

const DAY_MS = 86_400_000;

interface Span {
	readonly fromMs: number;
	readonly toMs: number;
}

type Code = NextDue["reasons"][number]["code"];

interface Reason {
	readonly code: Code;
	readonly what: NextDue["what"];
	/** What it comes from; null where it is that nothing ever happened. */
	readonly cause: Span | null;
	readonly days: number;
	/** Whether what would settle it is surely missing. */
	readonly isSure: boolean;
	readonly looked: NoteOf<"sample">["looked"] | null;
	/** Since the cause: sure ones, and those that may be from before it. */
	readonly turnovers: { readonly sure: number; readonly maybe: number } | null;
}

const PLAIN = { what: "polish", isSure: true, looked: null, turnovers: null } as const;

export function nextDue(rig: RigLog, tank: string, limits: SeasonLimits, nowMs: number): NextDue {
	const runs = runsIn(rig);
	const worked = runs.filter(
		({ run: { order } }) => order.tank === tank && order.work !== "transfer",
	);
	const last = worked.at(-1);
	const end = last === undefined ? null : endOf(last);
	const isUnderWay = last !== undefined && end === null;
	const reasons = [
		...(last === undefined ? [{ ...PLAIN, code: "never", cause: null, days: 0 } as const] : []),
		...(end === null ? [] : [standing(end, limits)]),
		...uplifted(rig, runs, tank, limits),
		...watered(rig, tank, limits),
		...dirty(rig, runs, tank, limits),
		...dosed(rig, worked, tank, limits),
	].map((reason) => ({ reason, due: dueOf(reason, nowMs) }));
	reasons.sort((a, b) => a.due.fromMs - b.due.fromMs || a.due.toMs - b.due.toMs);
	const earliestMs = Math.min(...reasons.map(({ due }) => due.fromMs));
	const latestMs = Math.min(
		...reasons.flatMap(({ reason, due }) => (reason.isSure ? [due.toMs] : [])),
	);
	return {
		tank,
		status: isUnderWay ? "under-way" : statusOf(earliestMs, latestMs, nowMs),
		what: reasons[0]?.reason.what ?? "polish",
		...boundsOf({ fromMs: earliestMs, toMs: latestMs }),
		reasons: reasons.map(({ reason, due }) => ({
			code: reason.code,
			what: reason.what,
			isSure: reason.isSure,
			cause: reason.cause === null ? null : boundsOf(reason.cause),
			days: reason.days,
			looked: reason.looked,
			turnovers: reason.turnovers?.sure ?? null,
			turnoversMaybe: reason.turnovers?.maybe ?? null,
			due: boundsOf(due),
		})),
	};
}

function statusOf(earliestMs: number, latestMs: number, nowMs: number): NextDue["status"] {
	if (latestMs <= nowMs) return "now";
	return earliestMs <= nowMs ? "maybe" : "later";
}

/** What never happened is due at once. */
function dueOf({ cause, days }: Reason, nowMs: number): Span {
	if (cause === null) return { fromMs: nowMs, toMs: nowMs };
	const moreMs = days * DAY_MS;
	return { fromMs: cause.fromMs + moreMs, toMs: cause.toMs + moreMs };
}

/** JSON knows no infinity: null where nothing bounds it. */
const boundsOf = ({ fromMs, toMs }: Span) => ({
	earliestUtcMs: Number.isFinite(fromMs) ? Math.round(fromMs) : null,
	latestUtcMs: Number.isFinite(toMs) ? Math.round(toMs) : null,
});

const at = (utcMs: number): Span => ({ fromMs: utcMs, toMs: utcMs });

const ofTank = <K extends NoteKind>({ notes }: RigLog, kind: K, tank: string): Array<NoteOf<K>> =>
	notes.filter(
		(note): note is NoteOf<K> => note.kind === kind && "tank" in note && note.tank === tank,
	);

const standing = (end: Span, { standingDaysMax }: SeasonLimits): Reason => ({
	...PLAIN,
	code: "standing",
	cause: end,
	days: standingDaysMax,
});

/** Bought fuel that has not been through the filter often enough. */
function uplifted(
	rig: RigLog,
	runs: readonly RigRun[],
	tank: string,
	{ upliftDays, turnoversMin }: SeasonLimits,
): Reason[] {
	const uplift = ofTank(rig, "uplift", tank).at(-1);
	if (uplift === undefined) return [];
	const turnovers = turnoversSince(runs, tank, uplift.atUtcMs);
	if (turnovers.sure >= turnoversMin) return [];
	const isSure = turnovers.sure + turnovers.maybe < turnoversMin;
	const cause = at(uplift.atUtcMs);
	return [{ ...PLAIN, code: "uplift", cause, days: upliftDays, isSure, turnovers }];
}

/** Water that stopped a run comes from a floor that holds more, until a sample shows none. */
function watered(rig: RigLog, tank: string, { waterDays }: SeasonLimits): Reason[] {
	const trip = tripsOf(rig).findLast((one) => one.code === "water-in-bowl" && one.tank === tank);
	if (trip === undefined) return [];
	const last = spanOf(trip.when);
	const clear = samplesOf(rig, tank).filter(({ looked }) => looked === "clear");
	if (clear.some(({ atUtcMs }) => atUtcMs >= last.toMs)) return [];
	const isSure = !clear.some(({ atUtcMs }) => atUtcMs > last.fromMs);
	return [{ ...PLAIN, code: "water", cause: last, days: waterDays, isSure }];
}

/** A bowl's sample says nothing of the tank. */
const samplesOf = (rig: RigLog, tank: string): Array<NoteOf<"sample">> =>
	ofTank(rig, "sample", tank).filter(({ from }) => from !== "bowl");

/** After enough turnovers it is another sample that is wanted. */
function dirty(
	rig: RigLog,
	runs: readonly RigRun[],
	tank: string,
	{ turnoversMin }: SeasonLimits,
): Reason[] {
	const sample = samplesOf(rig, tank).at(-1);
	if (sample === undefined || sample.looked === "clear") return [];
	const turnovers = turnoversSince(runs, tank, sample.atUtcMs);
	const what = turnovers.sure >= turnoversMin ? "sample" : "polish";
	const { looked } = sample;
	const cause = at(sample.atUtcMs);
	return [{ ...PLAIN, code: "sample", what, cause, days: 0, looked, turnovers }];
}

function dosed(
	rig: RigLog,
	worked: readonly RigRun[],
	tank: string,
	{ doseDays }: SeasonLimits,
): Reason[] {
	const dose = ofTank(rig, "dose", tank).at(-1);
	if (dose === undefined) return [];
	const begun = worked.map(({ store, run }) => spanOf(whenOf(store, run.begin)));
	if (begun.some(({ fromMs }) => fromMs >= dose.atUtcMs)) return [];
	const isSure = !begun.some(({ toMs }) => toMs > dose.atUtcMs);
	return [{ ...PLAIN, code: "dose", cause: at(dose.atUtcMs), days: doseDays, isSure }];
}
