// Logs of seasons that never were, written run by run with round figures, so that what a season
// comes to can be worked by hand: 420 pulses a litre, 90 L in an hour. Invented.

import type { LogRecord, RecordBody } from "../../firmware/log/record.ts";
import type { Tally } from "../../firmware/totals.ts";
import type { Archive } from "../../host/archive/archive.ts";
import { dateBoots, type Sighting } from "../../host/archive/dating.ts";
import { type Note, type NoteKind, type NoteOf, noteSchema } from "../../host/archive/note.ts";
import type { RigLog, StoreLog } from "../../host/archive/rig-log.ts";
import { runsOf } from "../../host/archive/runs.ts";
import { batchOf, chainedRecords, LogWriter } from "./drawn-log.ts";

export const RIG = "Season rig";
const LITRES_AN_HOUR = 90;
const PULSES_A_LITRE = 420;
const MINUTE = 60_000;

export interface RunAsked {
	readonly tank: string;
	readonly litres: number;
	readonly work?: "polish" | "sweep" | "transfer";
	readonly turnoverLitres?: number;
	/** Stopped once by water in the bowl, of which so much was drained. */
	readonly waterMl?: number;
	/** Told of the element at its end. */
	readonly kpa?: number;
	/** Nobody ends it. */
	readonly isUnderWay?: boolean;
}

export class StoreWriter {
	readonly storeId: string;
	private readonly rig: string;
	private readonly log = new LogWriter();
	private readonly sightings: Sighting[] = [];
	private runs = 0;
	/** What each run had moved by its samples, by their numbers. */
	private readonly tallies: Array<{ seq: number; run: Tally }> = [];

	constructor(storeId: string, rig = RIG) {
		this.storeId = storeId;
		this.rig = rig;
	}

	/** @param utcMs when it began by somebody's clock; null: nobody looked */
	boot(utcMs: number | null, uncertaintyMs = 2_000): this {
		this.log.begin(this.rig);
		if (utcMs !== null) {
			this.sightings.push({ boot: this.log.boot, monoMs: 0, utcMs, uncertaintyMs });
		}
		return this;
	}

	write(body: RecordBody): this {
		this.log.write(body);
		return this;
	}

	wait(ms: number): this {
		this.log.monoMs += ms;
		return this;
	}

	run(asked: RunAsked): this {
		const { tank, litres, work = "polish", turnoverLitres = 300, waterMl, kpa } = asked;
		const { log } = this;
		this.runs += 1;
		log.monoMs += MINUTE;
		log.write({
			kind: "run-begin",
			order: {
				id: `run-${this.runs}`,
				work,
				tank,
				toTank: work === "transfer" ? "day" : null,
				goalLitres: litres,
				goalHours: null,
				goalShare: null,
				turnoverLitres,
				dilution: null,
				sweep: null,
				attended: true,
			},
		});
		log.write({ kind: "start", reason: "ordered" });
		this.sample(tallyOf(litres / 2));
		if (waterMl !== undefined) {
			log.write({ kind: "trip", code: "water-in-bowl", cause: "drawn" });
			log.write({ kind: "drained", id: `d-${this.runs}`, waterMl });
			log.write({ kind: "acknowledged", id: "a", codes: ["water-in-bowl"], from: "box" });
		}
		const run = tallyOf(litres);
		log.monoMs += run.motorMs / 2;
		if (kpa !== undefined) log.write(restriction(tank, kpa));
		if (asked.isUnderWay !== true) {
			log.write({ kind: "run-end", outcome: "finished", reasons: [], run });
		}
		return this;
	}

	private sample(run: Tally): void {
		this.log.monoMs += run.motorMs;
		this.log.write({
			kind: "sample",
			flowLph: 90,
			vacuumKpa: 12,
			supplyVolts: 12.6,
			motorAmps: 1.7,
			fuelC: 15,
			run,
		});
		this.tallies.push({ seq: this.lastSeq, run });
	}

	get lastSeq(): number {
		return this.log.records.length;
	}

	/** As the archive answers it. */
	tallyAt(seq: number, beginSeq: number): Tally | null {
		const sample = this.tallies.findLast((one) => one.seq <= seq);
		return sample === undefined || sample.seq < beginSeq ? null : sample.run;
	}

	get store(): StoreLog {
		const { storeId, sightings } = this;
		const history: readonly LogRecord[] = this.log.records;
		const boots = new Map<number, number>();
		for (const { boot, monoMs } of history) boots.set(boot, monoMs);
		const spans = [...boots].map(([boot, lastMs]) => ({ boot, lastMs }));
		return { storeId, history, runs: runsOf(history), dating: dateBoots(sightings, spans) };
	}

	addTo(archive: Archive): void {
		archive.add(this.storeId, batchOf(chainedRecords(this.log.records, this.storeId)));
		for (const sighting of this.sightings) archive.sight(this.storeId, sighting);
	}
}

const tallyOf = (litres: number): Tally => ({
	motorMs: Math.round((3_600_000 * litres) / LITRES_AN_HOUR),
	pulses: Math.round(PULSES_A_LITRE * litres),
});

function restriction(tank: string, kpa: number): RecordBody {
	return {
		kind: "restriction",
		tank,
		tankLitres: 300,
		element: { cleanKpa: 4, changeAtKpa: 18, dirtToChangeGrams: 90, dirtEfficiency: 0.9 },
		fit: {
			kpa,
			perLitre: 0.005,
			varKpa: 0.01,
			covariance: 0,
			varPerLitre: 1e-6,
			sdKpa: 0.3,
			firstKpa: 4,
			steppedKpa: 0,
			leans: 0,
			odd: 0,
			samples: 200,
		},
	};
}

let notes = 0;
/** A note of that kind; what its kind asks comes with `fields`. */
export function noted(kind: NoteKind, atUtcMs: number, fields: object): Note {
	notes += 1;
	const head = { id: `n-${notes}`, rig: RIG, atUtcMs, by: "MT", text: null, kind };
	return noteSchema.parse({ ...head, ...fields });
}

export const uplift = (atUtcMs: number, tank: string, litres: number): Note =>
	noted("uplift", atUtcMs, { tank, litres, place: "Invented Harbour", batch: "A-17" });

export const sample = (
	atUtcMs: number,
	tank: string,
	looked: NoteOf<"sample">["looked"],
	from: NoteOf<"sample">["from"] = "after-24h",
): Note => noted("sample", atUtcMs, { tank, from, looked, iso4406: null });

export const change = (atUtcMs: number, micron: number, storeId: string | null, afterSeq: number) =>
	noted("element-change", atUtcMs, { micron, storeId, afterSeq });

export function rigOf(stores: readonly StoreWriter[], noted: readonly Note[] = []): RigLog {
	const all = [...noted].sort((a, b) => a.atUtcMs - b.atUtcMs);
	return { rig: RIG, stores: stores.map(({ store }) => store), notes: all };
}

/** What the archive would say. */
export const tallies =
	(stores: readonly StoreWriter[]) =>
	(storeId: string, seq: number, beginSeq: number): Tally | null =>
		stores.find((store) => store.storeId === storeId)?.tallyAt(seq, beginSeq) ?? null;
