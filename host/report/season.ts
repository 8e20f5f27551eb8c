// What a rig has done in all that its archive knows: by tank, month and element, when each tank is
// next due, and whether the boat is ready. The one answer that command, paper and page show. What
// is not dated is in no month. Pure but for the archive that it reads.

import type { Archive } from "../archive/archive.ts";
import { isDated, type When } from "../archive/dating.ts";
import { elementRow } from "../archive/element.ts";
import { type ElementSpan, elementSpans, partsOf, type TallyAt } from "../archive/element-spans.ts";
import { nextDue } from "../archive/next-due.ts";
import type { NoteOf } from "../archive/note.ts";
import { proofsOf } from "../archive/proofs.ts";
import { readiness, tanksOf } from "../archive/readiness.ts";
import { SEASON_LIMITS, type SeasonLimits } from "../archive/ready-limits.ts";
import { type RigLog, rigsIn, runsIn, spanOf } from "../archive/rig-log.ts";
import { tripsOf } from "../archive/trip-list.ts";
import { drainsOf } from "../archive/water-caught.ts";
import { type Fact, factsOf, figuresOf, movedIn } from "./season-facts.ts";
import type { ElementSeason, EntrySeason, MonthSeason, SeasonAnswer } from "./season-schema.ts";
import { monthIn, zoneHere } from "./zoned-time.ts";

/**
 * A rig that the archive does not know gives an answer of nothing.
 * @param limits those that are left out are the usual ones
 */
export function seasonOf(
	archive: Archive,
	rig: string,
	nowMs: number,
	limits: Partial<SeasonLimits> = {},
	timeZone = zoneHere(),
): SeasonAnswer {
	const log = rigsIn(archive).find((one) => one.rig === rig) ?? { rig, stores: [], notes: [] };
	const tallyAt: TallyAt = (...asked) => archive.tallyAt(...asked);
	return seasonOfLog(log, tallyAt, nowMs, { ...SEASON_LIMITS, ...limits }, timeZone);
}

/** The same of a log that was read already. */
export function seasonOfLog(
	log: RigLog,
	tallyAt: TallyAt,
	nowMs: number,
	limits: SeasonLimits,
	timeZone: string,
): SeasonAnswer {
	const facts = factsOf(log);
	const runs = runsIn(log);
	const dated = facts.flatMap(({ when }) => (isDated(when) ? [when.utcMs] : []));
	const element = elementRow(log, tallyAt);
	// Turnovers of several tanks have no sum.
	const { turnovers: _, turnoversUncertainty: __, ...figures } = figuresOf(facts);
	return {
		rig: log.rig,
		isInvented: log.stores.some(({ storeId }) => storeId.includes(INVENTED)),
		atUtcMs: nowMs,
		timeZone,
		firstUtcMs: dated.length === 0 ? null : dated.reduce((a, b) => Math.min(a, b)),
		lastUtcMs: dated.length === 0 ? null : dated.reduce((a, b) => Math.max(a, b)),
		isCalibrated: runs.every(({ run }) => run.boot?.meter.isCalibrated === true),
		...figures,
		undatedRuns: facts.filter(({ isRun, when }) => isRun && monthOf(when, timeZone) === null)
			.length,
		quarrels: log.stores.reduce((sum, { dating }) => sum + dating.quarrels.length, 0),
		notedTwice: drainsOf(log).filter(({ isAlsoNoted }) => isAlsoNoted).length,
		tanks: tanksOf(log, runs).map((tank) => ({
			tank,
			...figuresOf(facts.filter((fact) => fact.tank === tank)),
			lastSample: lastSample(log, tank),
			due: nextDue(log, tank, limits, nowMs),
		})),
		months: monthsOf(facts, timeZone),
		elements: elementSpans(log, tallyAt).map(elementSeason),
		forecast: element.forecast,
		forecastTank: element.restriction?.tank ?? null,
		tripList: tripsOf(log),
		proofs: proofsOf(log, nowMs),
		entries: log.notes.flatMap((note): EntrySeason[] => entryOf(note)),
		ready: readiness(log, limits, nowMs),
		limits: { ...limits },
	};
}

/** In the identity of a store that was drawn; a real one is a UUID, which has no such letters. */
const INVENTED = "invented";

/** Null where the time's bounds do not lie in one month, and for what nobody dated. */
export function monthOf(when: When, timeZone: string): string | null {
	if (!isDated(when)) return null;
	const { fromMs, toMs } = spanOf(when);
	const month = monthIn(timeZone, fromMs);
	return month === monthIn(timeZone, toMs) ? month : null;
}

/** By month and tank; last what is in no month, by tank. */
function monthsOf(facts: readonly Fact[], timeZone: string): MonthSeason[] {
	const groups = new Map<string, Fact[]>();
	for (const fact of facts) {
		const month = monthOf(fact.when, timeZone);
		const key = JSON.stringify([month ?? LAST, fact.tank ?? LAST]);
		groups.set(key, [...(groups.get(key) ?? []), fact]);
	}
	const keys = [...groups.keys()].sort();
	return keys.map((key) => {
		const own = groups.get(key) ?? [];
		const [first] = own;
		const month = first === undefined ? null : monthOf(first.when, timeZone);
		return {
			month,
			between: month === null ? betweenOf(own) : null,
			tank: first?.tank ?? null,
			...figuresOf(own),
		};
	});
}

/** Behind every month and tank. */
const LAST = "~";

/** Between what all of these lie; null where one of them has no bound. */
function betweenOf(facts: readonly Fact[]): MonthSeason["between"] {
	const spans = facts.map(({ when }) => spanOf(when));
	const earliest = Math.min(...spans.map(({ fromMs }) => fromMs));
	const latest = Math.max(...spans.map(({ toMs }) => toMs));
	return {
		earliestUtcMs: Number.isFinite(earliest) ? earliest : null,
		latestUtcMs: Number.isFinite(latest) ? latest : null,
	};
}

function lastSample({ notes }: RigLog, tank: string) {
	const own = notes.filter((note): note is NoteOf<"sample"> => note.kind === "sample");
	const last = own.findLast((note) => note.tank === tank && note.from !== "bowl");
	if (last === undefined) return null;
	const { atUtcMs, from, looked, iso4406 } = last;
	return { atUtcMs, from, looked, iso4406 };
}

function elementSeason(span: ElementSpan): ElementSeason {
	const { change, until, pieces, trend, last } = span;
	const { element, fit } = last?.record ?? { element: null, fit: null };
	return {
		micron: change?.micron ?? null,
		fromUtcMs: change?.atUtcMs ?? null,
		toUtcMs: until?.atUtcMs ?? null,
		runs: pieces.length,
		...movedIn(partsOf(span)),
		cleanKpa: element?.cleanKpa ?? null,
		changeAtKpa: element?.changeAtKpa ?? null,
		kpa: fit?.kpa ?? null,
		trend: trend.map(({ began, tank, litres, kpa }) => ({ began, tank, litres, kpa })),
	};
}

const words = (...parts: ReadonlyArray<string | null>): string[] =>
	parts.filter((part): part is string => part !== null);

function entryOf(note: RigLog["notes"][number]): EntrySeason[] {
	const { atUtcMs, by } = note;
	const nulls = { tank: null, litres: null, ml: null, micron: null, sample: null, waste: null };
	const head = { atUtcMs, by, ...nulls };
	switch (note.kind) {
		case "uplift": {
			const { kind, tank, litres, place, batch, text } = note;
			return [{ ...head, kind, tank, litres, words: words(place, batch, text) }];
		}
		case "dose": {
			const { kind, tank, doseMl, product, label, text } = note;
			return [{ ...head, kind, tank, ml: doseMl, words: words(product, label, text) }];
		}
		case "sample": {
			const { kind, tank, from, looked, iso4406, clearAndBright, text } = note;
			const sample = { from, looked, isClearAndBright: clearAndBright === true, iso4406 };
			return [{ ...head, kind, tank, sample, words: words(text) }];
		}
		case "waste": {
			const { kind, wasteMl, container, place, receipt, text } = note;
			const waste = { container, place, receipt };
			return [{ ...head, kind, ml: wasteMl, waste, words: words(text) }];
		}
		case "element-change":
			return [{ ...head, kind: note.kind, micron: note.micron, words: words(note.text) }];
		default:
			return [];
	}
}
