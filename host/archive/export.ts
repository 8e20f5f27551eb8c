// What `lees export` writes, one sheet a subject: runs, events, samples, hours, notes. Times are
// ISO in UTC, empty where nobody dated the boot; then the bounds stand beside. Imports the
// archive.

import { InputError } from "../../firmware/config/input-error.ts";
import { readRecord } from "../../firmware/log/record-text.ts";
import type { Archive } from "./archive.ts";
import { isDated, type When } from "./dating.ts";
import { hourly, kFactorsOf } from "./hours.ts";
import type { Note } from "./note.ts";
import { type RigLog, type StoreLog, whenOf } from "./rig-log.ts";
import { quantityNames, type SampleQuantity } from "./rollup.ts";
import { runRows } from "./run-rows.ts";
import type { Cell, Column, Sheet } from "./sheet.ts";

export const sheetSubjects = ["runs", "events", "samples", "hours", "notes"] as const;
export type SheetSubject = (typeof sheetSubjects)[number];

const column = (name: string, words: string, unit: string | null = null): Column => ({
	name,
	words,
	unit,
});

const WHEN: readonly Column[] = [
	column("utc", "time", "UTC"),
	column("uncertaintyS", "time off by up to", "s, k = 2"),
	column("afterUtc", "undated, after", "UTC"),
	column("beforeUtc", "undated, before", "UTC"),
];

const STORE: readonly Column[] = [column("rig", "rig"), column("storeId", "store")];

const PLACE: readonly Column[] = [
	...STORE,
	column("seq", "record"),
	column("boot", "boot"),
	column("monoMs", "since boot", "ms"),
	...WHEN,
];

const QUANTITIES: Readonly<Record<SampleQuantity, readonly [words: string, unit: string]>> = {
	flowLph: ["flow", "L/h"],
	vacuumKpa: ["vacuum", "kPa"],
	supplyVolts: ["supply", "V"],
	motorAmps: ["motor", "A"],
	fuelC: ["fuel", "°C"],
};

export function sheetOf(what: SheetSubject, archive: Archive, rigs: readonly RigLog[]): Sheet {
	switch (what) {
		case "runs":
			return runSheet(rigs);
		case "events":
			return { columns: EVENTS, rows: eventRows(archive, rigs) };
		case "samples":
			return { columns: SAMPLES, rows: sampleRows(archive, rigs) };
		case "hours":
			return { columns: HOURS, rows: hourRows(archive, rigs) };
		case "notes":
			return noteSheet(archive, rigs);
	}
}

const iso = (utcMs: number | null): string | null =>
	utcMs === null ? null : new Date(utcMs).toISOString();

function whenCells(when: When): Cell[] {
	if (isDated(when)) return [iso(when.utcMs), when.uncertaintyMs / 1000, null, null];
	return [null, null, iso(when.after), iso(when.before)];
}

function runSheet(rigs: readonly RigLog[]): Sheet {
	const columns = [
		...STORE,
		column("run", "run"),
		column("boot", "boot"),
		column("bootMs", "began, since boot", "ms"),
		...WHEN,
		column("endedUtc", "ended", "UTC"),
		column("work", "work"),
		column("tank", "tank"),
		column("toTank", "into tank"),
		column("goalLitres", "goal", "L"),
		column("goalHours", "goal", "h"),
		column("goalShare", "goal, share of the tank"),
		column("isAttended", "attended"),
		column("outcome", "ended as"),
		column("trips", "trips"),
		column("motorHours", "pump", "h"),
		column("motorHoursUncertainty", "pump off by up to", "h, k = 2"),
		column("litres", "by meter", "L"),
		column("litresUncertainty", "by meter off by up to", "L, k = 2"),
		column("litresByHours", "by hours", "L"),
		column("litresByHoursUncertainty", "by hours off by up to", "L, k = 2"),
		column("differencePct", "by hours against by meter", "%"),
		column("isWithin", "the two agree"),
	];
	const rows = rigs.flatMap(runRows).map(({ began, ended, trips, ...run }) => {
		const cells: Record<string, Cell> = { ...run, trips: trips.join(" ") };
		const endedUtc = ended !== null && isDated(ended) ? iso(ended.utcMs) : null;
		const when = whenCells(began);
		return columns.map(({ name }) => {
			const i = WHEN.findIndex((other) => other.name === name);
			if (i >= 0) return when[i] ?? null;
			return name === "endedUtc" ? endedUtc : (cells[name] ?? null);
		});
	});
	return { columns, rows };
}

const BODY: Column = { ...column("body", "what it says"), isJson: true };
const EVENTS: readonly Column[] = [...PLACE, column("kind", "kind"), BODY];

function* eventRows(archive: Archive, rigs: readonly RigLog[]): Generator<Cell[]> {
	for (const [rig, store] of storesIn(rigs)) {
		for (const { seq, text } of archive.events(store.storeId)) {
			const { boot, monoMs, kind, seq: _, v: __, ...body } = JSON.parse(text);
			const when = whenOf(store, { seq, boot, monoMs });
			const place = [rig, store.storeId, seq, boot, monoMs, ...whenCells(when)];
			yield [...place, kind, JSON.stringify(body)];
		}
	}
}

const SAMPLES: readonly Column[] = [
	...PLACE,
	column("samples", "samples, more than one by digest"),
	...quantityNames.map((name) => column(name, ...QUANTITIES[name])),
	column("runMotorMs", "pump in this run", "ms"),
	column("runPulses", "meter in this run", "pulses"),
];

/** A quantity that was unknown is the word that said why; a digest's is its mean. */
function* sampleRows(archive: Archive, rigs: readonly RigLog[]): Generator<Cell[]> {
	for (const [rig, store] of storesIn(rigs)) {
		for (const { text } of archive.texts(store.storeId)) {
			if (!text.includes('"kind":"sample"') && !text.includes('"kind":"digest"')) continue;
			const record = readRecord(text);
			if (record?.kind !== "sample" && record?.kind !== "digest") continue;
			const { seq, boot, monoMs, run } = record;
			const values = quantityNames.map((name): Cell => {
				const value = record[name];
				return typeof value === "object" ? (value?.mean ?? null) : value;
			});
			const samples = record.kind === "digest" ? seq - record.fromSeq + 1 : 1;
			const when = whenCells(whenOf(store, record));
			const place = [rig, store.storeId, seq, boot, monoMs, ...when];
			yield [...place, samples, ...values, run.motorMs, run.pulses];
		}
	}
}

const HOURS: readonly Column[] = [
	...STORE,
	column("utc", "hour", "UTC"),
	column("uncertaintyS", "time off by up to", "s, k = 2"),
	column("boot", "boot"),
	column("bootHour", "since boot", "h"),
	column("samples", "samples"),
	column("digested", "of digests", "samples"),
	column("motorHours", "pump", "h"),
	column("litres", "by meter", "L"),
	...quantityNames.flatMap((name) => {
		const [words, unit] = QUANTITIES[name];
		return ["Mean", "Min", "Max"].map((part) =>
			column(`${name}${part}`, `${words}, ${part.toLowerCase()}`, unit),
		);
	}),
];

function* hourRows(archive: Archive, rigs: readonly RigLog[]): Generator<Cell[]> {
	for (const [rig, { storeId, dating, history }] of storesIn(rigs)) {
		for (const row of hourly(archive.bucketRows(storeId), dating, kFactorsOf(history))) {
			const { utcMs, uncertaintyMs, boot, bootHour, samples, digested } = row;
			const spreads = quantityNames.flatMap((name) => {
				const of = row.of[name];
				return of === null ? [null, null, null] : [of.mean, of.min, of.max];
			});
			const seconds = uncertaintyMs === null ? null : uncertaintyMs / 1000;
			const place = [rig, storeId, iso(utcMs), seconds, boot, bootHour];
			yield [...place, samples, digested, row.motorHours, row.litres, ...spreads];
		}
	}
}

const NOTES: readonly Column[] = [
	column("id", "id"),
	column("rig", "rig"),
	column("atUtc", "time", "UTC"),
	column("kind", "kind"),
	column("by", "by"),
	column("text", "text"),
	column("struckUtc", "struck", "UTC"),
	column("tank", "tank"),
	column("litres", "bought", "L"),
	column("place", "place"),
	column("batch", "batch"),
	column("product", "product"),
	column("doseMl", "dose", "mL"),
	column("from", "sample of"),
	column("looked", "looked"),
	column("iso4406", "lab, ISO 4406"),
	column("micron", "element", "µm"),
	column("storeId", "store"),
	column("afterSeq", "element since record"),
	column("drainedMl", "drained", "mL"),
	column("count", "spare elements"),
	column("wasteMl", "waste", "mL"),
	column("container", "container"),
	column("receipt", "receipt"),
	column("standsSinceUtc", "engine stands since", "UTC"),
	column("label", "dose by the label"),
	column("clearAndBright", "clear and bright, ASTM D4176"),
	column("spots", "pick-up spots"),
	column("run", "spots in run"),
	column("photo", "photo"),
	column("photoSha256", "photo's SHA-256"),
];

/** Struck ones too: the book of a rig is whole. */
function noteSheet(archive: Archive, rigs: readonly RigLog[]): Sheet {
	const names = new Set(rigs.map(({ rig }) => rig));
	const kept = archive.notes.all().filter(({ note }) => names.has(note.rig));
	const photos = archive.photos.heads();
	const rows = kept.map(({ note, struckUtcMs }) => {
		const cells: Record<string, Cell> = { ...(note as Note & Record<string, Cell>) };
		const photo = photos.get(note.id);
		cells.photo = photo?.kind ?? null;
		cells.photoSha256 = photo?.sha256 ?? null;
		if ("spots" in note) cells.spots = note.spots.join(" ");
		cells.atUtc = iso(note.atUtcMs);
		cells.struckUtc = iso(struckUtcMs);
		if (note.kind === "engine") cells.standsSinceUtc = iso(note.standsSinceUtcMs);
		return NOTES.map(({ name }) => cells[name] ?? null);
	});
	return { columns: NOTES, rows };
}

const storesIn = (rigs: readonly RigLog[]): Array<[rig: string, store: StoreLog]> =>
	rigs.flatMap(({ rig, stores }) => stores.map((store): [string, StoreLog] => [rig, store]));

/** @throws InputError when no such rig is in the archive */
export function chosenRigs(
	rigs: readonly RigLog[],
	name: string | undefined,
	file: string,
): RigLog[] {
	const chosen = rigs.filter(({ rig }) => name === undefined || rig === name);
	if (name === undefined || chosen.length > 0) return chosen;
	const allowed = rigs.map(({ rig }) => rig).join(", ") || "none: the archive is empty";
	throw new InputError([{ file, key: "--rig", found: name, allowed }]);
}
