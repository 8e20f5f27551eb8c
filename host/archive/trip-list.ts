// The trips of a rig with the tank that was at work: what stands in a run belongs to it, and so
// does what tells of the run just ended. Pure.

import type { TripCode } from "../../firmware/cycle/trips.ts";
import type { When } from "./dating.ts";
import { type RigLog, type StoreLog, whenOf } from "./rig-log.ts";

export interface ToldTrip {
	readonly code: TripCode;
	/** Null where it came in no order. */
	readonly tank: string | null;
	readonly when: When;
}

/** These tell of the run before them, even where that has ended. */
const OF_LAST_RUN: ReadonlySet<TripCode> = new Set(["water-in-bowl", "interrupted"]);

/** In the order in which the stores have them. */
export const tripsOf = ({ stores }: RigLog): ToldTrip[] =>
	stores.flatMap((store) =>
		store.history.flatMap((record) => {
			if (record.kind !== "trip") return [];
			const { code, seq } = record;
			return [{ code, tank: tankAt(store, code, seq), when: whenOf(store, record) }];
		}),
	);

function tankAt({ runs }: StoreLog, code: TripCode, seq: number): string | null {
	const run = runs.findLast(({ begin }) => begin.seq < seq);
	if (run === undefined) return null;
	const isWithin = run.end === null || seq <= run.end.seq;
	return isWithin || OF_LAST_RUN.has(code) ? run.order.tank : null;
}
