// Everything of a rig that a season counts, each thing with its time and tank, and what any of
// them come to together. Uncertainties are the archive's own, expanded, k = 2. Pure.

import type { When } from "../archive/dating.ts";
import { type RigLog, whenOf } from "../archive/rig-log.ts";
import { movedFields } from "../archive/run-rows.ts";
import { type Part, unorderedOf } from "../archive/runs.ts";
import { litresIn, movedBy } from "../archive/totals.ts";
import { tripsOf } from "../archive/trip-list.ts";
import { drainsOf } from "../archive/water-caught.ts";
import type { TankSeason } from "./season-schema.ts";

export interface Fact {
	readonly when: When;
	/** Null where none is known, or it was in no order. */
	readonly tank: string | null;
	readonly isRun: boolean;
	readonly part: Part | null;
	/** What a turnover is, of a polish order. */
	readonly turnoverLitres: number | null;
	readonly waterMl: number | null;
	readonly upliftLitres: number | null;
	readonly isDose: boolean;
	readonly isSample: boolean;
	readonly isTrip: boolean;
}

const NONE = {
	isRun: false,
	part: null,
	turnoverLitres: null,
	waterMl: null,
	upliftLitres: null,
	isDose: false,
	isSample: false,
	isTrip: false,
} as const;

/** What the meter still counts as a run ends is no pumping of its own. */
const TRICKLE_LITRES = 0.1;

/** A run counts when it began, with the tank that it drew from. */
export function factsOf(log: RigLog): Fact[] {
	const ofStores = log.stores.flatMap((store): Fact[] => {
		const runs = store.runs.map((run): Fact => {
			const { work, tank, turnoverLitres } = run.order;
			const when = whenOf(store, run.begin);
			const turnover = work === "polish" ? turnoverLitres : null;
			return { ...NONE, when, tank, isRun: true, part: run, turnoverLitres: turnover };
		});
		const records = store.history.filter(({ kind }) => kind === "unordered");
		const unordered = unorderedOf(store.history).flatMap((part, i): Fact[] => {
			const record = records[i];
			if (record === undefined) return [];
			const before = store.runs.findLast(({ begin }) => begin.seq < record.seq);
			const tank = litresIn([part]) < TRICKLE_LITRES ? (before?.order.tank ?? null) : null;
			return [{ ...NONE, when: whenOf(store, record), tank, part }];
		});
		return [...runs, ...unordered];
	});
	const trips = tripsOf(log).map(({ when, tank }): Fact => {
		return { ...NONE, when, tank, isTrip: true };
	});
	const drains = drainsOf(log).map(({ when, tank, waterMl }): Fact => {
		return { ...NONE, when, tank, waterMl };
	});
	const notes = log.notes.flatMap((note): Fact[] => {
		const when = { utcMs: note.atUtcMs, uncertaintyMs: 0 };
		if (note.kind === "uplift") {
			return [{ ...NONE, when, tank: note.tank, upliftLitres: note.litres }];
		}
		if (note.kind === "dose") return [{ ...NONE, when, tank: note.tank, isDose: true }];
		if (note.kind === "sample") return [{ ...NONE, when, tank: note.tank, isSample: true }];
		return [];
	});
	return [...ofStores, ...trips, ...drains, ...notes];
}

type Figures = Omit<TankSeason, "tank" | "lastSample" | "due">;

export function figuresOf(facts: readonly Fact[]): Figures {
	const parts = facts.flatMap(({ part }) => (part === null ? [] : [part]));
	const water = numbers(facts, ({ waterMl }) => waterMl);
	const uplifts = numbers(facts, ({ upliftLitres }) => upliftLitres);
	return {
		runs: facts.filter(({ isRun }) => isRun).length,
		...movedIn(parts),
		...turnoversOf(facts),
		waterMl: sum(water),
		drains: water.length,
		uplifts: uplifts.length,
		upliftLitres: sum(uplifts),
		doses: facts.filter(({ isDose }) => isDose).length,
		samples: facts.filter(({ isSample }) => isSample).length,
		trips: facts.filter(({ isTrip }) => isTrip).length,
	};
}

export function movedIn(parts: readonly Part[]) {
	const { differencePct: _, isWithin: __, ...fields } = movedFields(movedBy(parts));
	return fields;
}

/** All of it went through the meter: off by the same share as the litres. */
function turnoversOf(facts: readonly Fact[]) {
	const polished = facts.flatMap(({ part, turnoverLitres }) =>
		part === null || turnoverLitres === null ? [] : [{ part, turnoverLitres }],
	);
	const turnovers = sum(
		polished.map(({ part, turnoverLitres }) => litresIn([part]) / turnoverLitres),
	);
	const { litres, litresUncertainty } = movedIn(polished.map(({ part }) => part));
	const share = litres === 0 ? 0 : litresUncertainty / litres;
	return { turnovers, turnoversUncertainty: share * turnovers };
}

const numbers = (facts: readonly Fact[], of: (fact: Fact) => number | null): number[] =>
	facts.flatMap((fact) => of(fact) ?? []);

const sum = (values: readonly number[]): number => values.reduce((all, value) => all + value, 0);
