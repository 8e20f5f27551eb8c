// Lamps and horn: each is shown one to six times, by a count that no one can know beforehand, and a
// person says how often. The count is drawn from the tick's time and differs from the one before.
// At rest alone. Pure.

import type { Entry, Proceeding } from "./steps.ts";
import { gaveUp, judged, type Kind, type Values } from "./trial.ts";

type Count = Extract<Proceeding, { kind: "count" }>;

export interface CountWork {
	readonly kind: "count";
	/** How often each is shown; drawn when its turn comes. */
	readonly counts: readonly number[];
	readonly sinceMs: number;
}

const COUNT_MAX = 6;
/** Dark before the first, and then so long on and off, ms. */
const FIRST_MS = 2_000;
const ON_MS = 600;
const OFF_MS = 600;
const EACH_MS = ON_MS + OFF_MS;

/** One to six, never the one before. */
function drawn(nowMs: number, before: number): number {
	const draw = 1 + (Math.floor(nowMs / 100) % (COUNT_MAX - 1));
	return before >= 1 && draw >= before ? draw + 1 : draw;
}

export const count: Kind<Count, CountWork> = {
	begin: (_, { nowMs, shown }) => ({
		kind: "count",
		counts: [drawn(nowMs, shown)],
		sinceMs: nowMs,
	}),
	advance(goes, work, { nowMs, name, cycle }) {
		const { counts, sinceMs } = work;
		const [trip] = cycle.context.trips;
		if (name !== "idle") {
			return { work, end: gaveUp("trip", `the lamps tell of a trip: ${trip?.code ?? name}`) };
		}
		const at = counts.length - 1;
		const times = counts[at] ?? 0;
		const inMs = nowMs - sinceMs - FIRST_MS;
		if (at >= goes.shows.length) return { work };
		if (inMs >= times * EACH_MS) {
			// All are shown when there is one count more than there are things to show.
			const next = [...counts, drawn(nowMs, times)];
			return { work: { kind: "count", counts: next, sinceMs: nowMs }, shown: times };
		}
		const shows = goes.shows[at];
		const isOn = inMs >= 0 && inMs % EACH_MS < ON_MS;
		return isOn && shows !== undefined ? { work, shows } : { work };
	},
	answer(goes, work, values) {
		const reasons = goes.shows.flatMap((name, i) => {
			const was = work.counts[i] ?? 0;
			return values[name] === was
				? []
				: [`${shownWords[name]}: ${was} were shown, ${values[name]} typed`];
		});
		return { work, end: judged(reasons, values as Values) };
	},
	asks: ({ shows }, { counts }) => (counts.length > shows.length ? "answer" : "wait"),
	say: ({ shows }, { counts }) => {
		if (counts.length > shows.length) return "Say how often each came.";
		return shows[counts.length - 1] === "horn" ? "Listen and count." : "Watch and count.";
	},
	entries: ({ shows }) => shows.map(entryOf),
	seen: () => ({}),
	// Who has seen no lamp light may type nothing.
	isTried: ({ shows }, { counts }) => counts.length > shows.length,
};

/** What a person counts. */
export const shownWords = {
	"lamp-pump": "flashes of the pump lamp",
	"lamp-trip": "flashes of the trip lamp",
	horn: "times that the horn sounded",
} as const;

const entryOf = (name: Count["shows"][number]): Entry => ({
	name,
	words: shownWords[name],
	number: { min: 0, max: 20 },
});
