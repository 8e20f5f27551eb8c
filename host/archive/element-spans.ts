// Every element that the rig has had, first to last: what each has seen between its change and the
// next, a run under way at a change being split by what it had moved by then. Pure but for the
// tally that it asks the archive for.

import type { LogRecord } from "../../firmware/log/record.ts";
import type { Tally } from "../../firmware/totals.ts";
import type { When } from "./dating.ts";
import type { NoteOf } from "./note.ts";
import { type RigLog, type RigRun, runsIn, whenOf } from "./rig-log.ts";
import { litresIn, type TallyAt } from "./run-rows.ts";
import { less, type Part, unorderedOf } from "./runs.ts";

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
	readonly last: Restriction | null;
}

export interface TrendPoint {
	readonly storeId: string;
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

/** At least one, whatever is known: some element is in. */
export function elementSpans(rig: RigLog, tallyAt: TallyAt): ElementSpan[] {
	const ids = rig.stores.map(({ storeId }) => storeId);
	const changes = rig.notes
		.filter((note): note is Change => note.kind === "element-change")
		.map((change) => ({
			change,
			place: { store: ids.indexOf(change.storeId ?? ""), seq: change.afterSeq },
		}))
		.sort((a, b) => (isBefore(a.place, b.place) ? -1 : isBefore(b.place, a.place) ? 1 : 0));
	const places = changes.map(({ place }) => place);
	/** How many changes came before that record. */
	const indexOf = (place: Place) => places.filter((change) => isBefore(change, place)).length;
	const pieces = runsIn(rig).flatMap((of) =>
		split(of, ids.indexOf(of.store.storeId), places, tallyAt),
	);
	return [null, ...changes].map((began, i) => {
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
		const by = movedBy(of, place.seq, tallyAt);
		const part = { ...run, tally: less(by, before) };
		before = by;
		return { of, part, span: first + i };
	});
	const rest = { ...run, tally: less(run.tally, before) };
	return [...pieces, { of, part: rest, span: first + within.length }];
}

/** What the run had moved by that record: the sample before it may be of the run before. */
function movedBy({ store: { storeId }, run }: RigRun, seq: number, tallyAt: TallyAt): Tally {
	const [atBegin, by] = [tallyAt(storeId, run.begin.seq), tallyAt(storeId, seq)];
	if (by === null) return NOTHING;
	const isOld = atBegin?.motorMs === by.motorMs && atBegin.pulses === by.pulses;
	return isOld ? NOTHING : by;
}

function unorderedIn({ stores }: RigLog, after: Place, until: Place | undefined): Part[] {
	return stores.flatMap(({ history }, store) => {
		if (store < after.store || (until !== undefined && store > until.store)) return [];
		const own = store === until?.store ? history.filter(({ seq }) => seq <= until.seq) : history;
		return unorderedOf(own, store === after.store ? after.seq : 0);
	});
}

function toldOf(
	rig: RigLog,
	pieces: readonly Piece[],
	isOwn: (store: number, seq: number) => boolean,
): Pick<ElementSpan, "trend" | "last"> {
	const told = rig.stores.flatMap((store, i) =>
		store.history.flatMap((record) =>
			record.kind === "restriction" && isOwn(i, record.seq) ? [{ store, record }] : [],
		),
	);
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
		return [{ storeId: store.storeId, run: run.begin.seq, began, tank, litres, kpa: fit.kpa }];
	});
	return { trend, last: told.at(-1)?.record ?? null };
}
