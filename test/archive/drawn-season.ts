// A drawn season of the Teal Willow, month by month: both wing tanks polished, fuel bought,
// samples, water now and then, elements changed, one night that nobody dated. Invented, and its
// store says so. For tests and pictures of the report.

import { Archive } from "../../host/archive/archive.ts";
import type { Note } from "../../host/archive/note.ts";
import type { RigLog } from "../../host/archive/rig-log.ts";
import { change, noted, rigOf, StoreWriter, sample, tallies, uplift } from "./season-log.ts";

const HOUR = 3_600_000;
const DAY = 24 * HOUR;
/** Month by month how much the element has grown since the last, kPa. */
const GROWTH = 1.9;
const CLEAN_KPA = 4.2;
/** An element lasts so many months. */
const LASTS = 5;

export interface DrawnSeason {
	readonly store: StoreWriter;
	readonly notes: readonly Note[];
	readonly log: RigLog;
	readonly tallyAt: ReturnType<typeof tallies>;
	/** Ten days after its last run. */
	readonly nowMs: number;
}

/** @param months from April 2024 on, in which the boat is used */
export function drawSeason(months: number): DrawnSeason {
	const store = new StoreWriter("5ea50000-invented");
	const notes: Note[] = [];
	let nowMs = 0;
	for (let n = 0; n < months; n += 1) {
		const begin = Date.UTC(2024, 3 + n, 6, 7);
		nowMs = begin + 20 * DAY;
		const kpa = CLEAN_KPA + GROWTH * (n % LASTS);
		if (n % LASTS === 0) {
			const since = n === 0 ? null : store.storeId;
			notes.push(change(begin - DAY, n === 0 ? 30 : 12, since, n === 0 ? 0 : store.lastSeq));
		}
		notes.push(uplift(begin - 2 * DAY, n % 2 === 0 ? "port" : "starboard", 80 + 10 * (n % 4)));
		store
			.boot(begin)
			.run({ tank: "port", litres: 310, turnoverLitres: 240, kpa: kpa + 0.8 })
			.wait(HOUR)
			.run({
				tank: "starboard",
				litres: 280,
				turnoverLitres: 260,
				kpa: kpa + GROWTH,
				...(n % 3 === 1 ? { waterMl: 120 + 15 * n } : {}),
			});
		if (n === 2) store.boot(null).run({ tank: "port", litres: 45, turnoverLitres: 240 });
		store.boot(begin + 10 * DAY).run({ tank: "port", litres: 12, work: "sweep" });
		notes.push(sample(begin + 2 * DAY, "port", n % 4 === 3 ? "hazy" : "clear"));
	}
	notes.push(noted("spare-elements", nowMs - 3 * DAY, { count: 2 }));
	notes.push(noted("dose", nowMs - 2 * DAY, { tank: "port", product: "biocide", doseMl: 60 }));
	const handed = { container: "red can", place: "Invented Harbour", receipt: "W-31" };
	notes.push(noted("waste", nowMs - DAY, { wasteMl: 100, ...handed }));
	return { store, notes, log: rigOf([store], notes), tallyAt: tallies([store]), nowMs };
}

/** The same in a new file, which it leaves closed. */
export function makeSeason(file: string, months: number): DrawnSeason {
	const season = drawSeason(months);
	const archive = new Archive(file, { create: true });
	season.store.addTo(archive);
	for (const note of season.notes) archive.notes.add(note);
	archive.close();
	return season;
}
