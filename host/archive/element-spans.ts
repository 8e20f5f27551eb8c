// Every element that the rig has had, first to last: what each has seen between its change and the
// next, a run under way at a change being split by what it had moved by then. Pure but for the
// tally that it asks the archive for.

import type { LogRecord } from "../../firmware/log/record.ts";
import type { Tally } from "../../firmware/totals.ts";
import type { When } from "./dating.ts";
import type { NoteOf } from "./note.ts";
import { type RigLog, type RigRun, runsIn, type StoreLog, whenOf } from "./rig-log.ts";
import { less, type Part, unorderedOf } from "./runs.ts";
import { litresIn } from "./totals.ts";

/**
 * What the run that began with `beginSeq` had moved by the record `seq` of its store; null where no
 * sample of its own tells.
 */
export type TallyAt = (storeId: string, seq: number, beginSeq: number) => Tally | null;

type Change = NoteOf<"element-change">;
type Restriction = Extract<LogRecord, { kind: "restriction" }>;

/** A run, or what of it fell to this element. */
export interface Piece {
	readonly of: RigRun;
	readonly part: Part;
}

export interface ElementSpan {
	/** Null for the one that was in when the log began. */
	readonly change: Change | null;
	/** The change that ended it; null while it is in use. */
	readonly until: Change | null;
	readonly pieces: readonly Piece[];
	readonly unordered: readonly Part[];
	/** The restriction that was told last in each piece, and the litres by its end. */
	readonly trend: readonly TrendPoint[];
	readonly last: Told | null;
}

/** What was told of an element, and in which store. */
export interface Told {
	readonly store: StoreLog;
	readonly record: Restriction;
}

export interface TrendPoint {
	readonly run: number;
	readonly began: When;
	readonly tank: string;
	readonly litres: number;
	readonly kpa: number;
}

/** A place in the logs of a rig: the store in its order, and the record. */
interface Place {
	readonly store: number;
	readonly seq: number;
}

const isBefore = (a: Place, b: Place): boolean =>
	a.store < b.store || (a.store === b.store && a.seq < b.seq);

const NOTHING: Tally = { motorMs: 0, pulses: 0 };

/** Changes in the order in which the logs have them, and where that is. */
function changesOf({ stores, notes }: RigLog): Array<{ change: Change; place: Place }> {
	const ids = stores.map(({ storeId }) => storeId);
	return notes
		.filter((note): note is Change => note.kind === "element-change")
		.map((change) => ({
			change,
			place: { store: ids.indexOf(change.storeId ?? ""), seq: change.afterSeq },
		}))
		.sort((a, b) => (isBefore(a.place, b.place) ? -1 : isBefore(b.place, a.place) ? 1 : 0));
}

/**
 * First to last, at least one, whatever is known: some element is in. What was in before the first
 * noted change is left out where it has seen nothing.
 */
export function elementSpans(rig: RigLog, tallyAt: TallyAt): ElementSpan[] {
	const ids = rig.stores.map(({ storeId }) => storeId);
	const changes = changesOf(rig);
	const places = changes.map(({ place }) => place);
	/** How many changes came before that record. */
	const indexOf = (place: Place) => places.filter((change) => isBefore(change, place)).length;
	const pieces = runsIn(rig).flatMap((of) =>
		split(of, ids.indexOf(of.store.storeId), places, tallyAt),
	);
	const spans = [null, ...changes].map((began, i) => {
		const own = pieces.filter(({ span }) => span === i);
		const after = began === null ? { store: -1, seq: -1 } : began.place;
		return {
			change: began?.change ?? null,
			until: changes[i]?.change ?? null,
			pieces: own,
			unordered: unorderedIn(rig, after, places[i]),
			...toldOf(rig, own, (store, seq) => indexOf({ store, seq }) === i),
		};
	});
	return spans.filter(wasUsed);
}

const wasUsed = ({ change, until, pieces, unordered }: ElementSpan): boolean =>
	change !== null || until === null || pieces.length + unordered.length > 0;

/** All that the element has seen, with an order or without. */
export const partsOf = ({ pieces, unordered }: ElementSpan): Part[] => [
	...pieces.map(({ part }) => part),
	...unordered,
];

/** The last that was told of the element in use; null where nothing was. */
export function lastRestriction(rig: RigLog): Told | null {
	const changed = changesOf(rig).at(-1)?.place ?? null;
	const isOwn = (place: Place) => changed === null || isBefore(changed, place);
	return toldIn(rig, (store, seq) => isOwn({ store, seq })).at(-1) ?? null;
}

/** @param places of the changes, in order */
function split(
	of: RigRun,
	store: number,
	places: readonly Place[],
	tallyAt: TallyAt,
): Array<Piece & { span: number }> {
	const { run } = of;
	const begin = { store, seq: run.begin.seq };
	const end = { store, seq: run.end?.seq ?? Number.POSITIVE_INFINITY };
	const first = places.filter((place) => isBefore(place, begin)).length;
	const within = places.slice(first).filter((place) => isBefore(place, end));
	let before = NOTHING;
	const pieces = within.map((place, i) => {
		const by = tallyAt(of.store.storeId, place.seq, run.begin.seq) ?? before;
		const part = { ...run, tally: less(by, before) };
		before = by;
		return { of, part, span: first + i };
	});
	const rest = { ...run, tally: less(run.tally, before) };
	return [...pieces, { of, part: rest, span: first + within.length }];
}

function unorderedIn({ stores }: RigLog, after: Place, until: Place | undefined): Part[] {
	return stores.flatMap(({ history }, store) => {
		if (store < after.store || (until !== undefined && store > until.store)) return [];
		const own = store === until?.store ? history.filter(({ seq }) => seq <= until.seq) : history;
		return unorderedOf(own, store === after.store ? after.seq : 0);
	});
}

const toldIn = ({ stores }: RigLog, isOwn: (store: number, seq: number) => boolean): Told[] =>
	stores.flatMap((store, i) =>
		store.history.flatMap((record) =>
			record.kind === "restriction" && isOwn(i, record.seq) ? [{ store, record }] : [],
		),
	);

function toldOf(
	rig: RigLog,
	pieces: readonly Piece[],
	isOwn: (store: number, seq: number) => boolean,
): Pick<ElementSpan, "trend" | "last"> {
	const told = toldIn(rig, isOwn);
	let litres = 0;
	const trend = pieces.flatMap(({ of: { store, run }, part }): TrendPoint[] => {
		litres += litresIn([part]);
		const nextSeq =
			store.runs.find(({ begin }) => begin.seq > run.begin.seq)?.begin.seq ??
			Number.POSITIVE_INFINITY;
		const own = told.findLast(
			({ store: by, record: { seq } }) => by === store && seq > run.begin.seq && seq < nextSeq,
		);
		if (own === undefined) return [];
		const { tank, fit } = own.record;
		const began = whenOf(store, run.begin);
		return [{ run: run.begin.seq, began, tank, litres, kpa: fit.kpa }];
	});
	return { trend, last: told.at(-1) ?? null };
}
