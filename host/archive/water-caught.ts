// Water that was drained from the bowl: told to the controller, or noted by hand where it was not.
// The same water told in both ways counts once. Pure.

import { isDated, type When } from "./dating.ts";
import type { NoteOf } from "./note.ts";
import { type RigLog, spanOf, whenOf } from "./rig-log.ts";

/** One drain of the bowl. */
export interface Drain {
	readonly waterMl: number;
	readonly when: When;
	/** Of the run before it: the water came up from there. Null where that is not known. */
	readonly tank: string | null;
	/** A note said the same and counts no second time. */
	readonly isAlsoNoted: boolean;
}

/**
 * A note of the same millilitres whose time is so near to the record's is of the same water: who
 * notes in the evening what was drained at noon (common practice, no source).
 */
const SAME_MS = 12 * 3_600_000;
const SAME_ML = 1;

/** In the order in which stores and notes have them. */
export function drainsOf(rig: RigLog): Drain[] {
	const notes = rig.notes.filter((note): note is NoteOf<"drained"> => note.kind === "drained");
	const taken = new Set<string>();
	const drains = rig.stores.flatMap((store) =>
		store.history.flatMap((record): Drain[] => {
			if (record.kind !== "drained") return [];
			const { waterMl } = record;
			const when = whenOf(store, record);
			const run = store.runs.findLast(({ begin }) => begin.seq < record.seq);
			const tank = run?.order.tank ?? null;
			const same = notes.find(
				(note) => !taken.has(note.id) && isOfTank(note, tank) && isSame(note, waterMl, when),
			);
			if (same !== undefined) taken.add(same.id);
			return [{ waterMl, when, tank, isAlsoNoted: same !== undefined }];
		}),
	);
	const others = notes.filter(({ id }) => !taken.has(id));
	return [
		...drains,
		...others.map((note) => ({
			waterMl: note.drainedMl,
			when: { utcMs: note.atUtcMs, uncertaintyMs: 0 },
			tank: note.tank ?? tankBefore(rig, note.atUtcMs),
			isAlsoNoted: false,
		})),
	];
}

/** An undated record may be of any time within its bounds; without both it is of none. */
function isSame({ drainedMl, atUtcMs }: NoteOf<"drained">, waterMl: number, when: When): boolean {
	if (Math.abs(drainedMl - waterMl) > SAME_ML) return false;
	const { fromMs, toMs } = spanOf(when);
	if (!isDated(when) && !Number.isFinite(fromMs + toMs)) return false;
	return atUtcMs >= fromMs - SAME_MS && atUtcMs <= toMs + SAME_MS;
}

/** Water that a note tells of another tank is other water. */
const isOfTank = (note: NoteOf<"drained">, tank: string | null): boolean =>
	note.tank === null || tank === null || note.tank === tank;

/** Of the last run that had surely begun by then; null where one may have that lies later. */
function tankBefore({ stores }: RigLog, utcMs: number): string | null {
	const runs = stores.flatMap((store) =>
		store.runs.map(({ begin, order }) => ({ tank: order.tank, ...spanOf(whenOf(store, begin)) })),
	);
	const maybe = runs.filter(({ fromMs }) => fromMs <= utcMs);
	const sure = maybe.findLast(({ toMs }) => toMs <= utcMs);
	if (sure === undefined) return null;
	const later = maybe.slice(maybe.indexOf(sure) + 1);
	return later.every(({ tank }) => tank === sure.tank) ? sure.tank : null;
}
