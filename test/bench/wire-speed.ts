// A log over a line of 115,200 baud into the archive, in real time: how much of the wire's time
// brings records for the first time, with and without lost frames; and how fast a store writes
// beside bare better-sqlite3. The log is of nights on the bench. Imports the bench and the e2e
// store.

import { mkdtempSync } from "node:fs";
import { join } from "node:path";
import Database from "better-sqlite3";
import { StoreFile } from "../../firmware/log/database.ts";
import type { LogRecord } from "../../firmware/log/record.ts";
import { textOf } from "../../firmware/log/record-text.ts";
import { Archive } from "../../host/archive/archive.ts";
import { pull } from "../../host/archive/pull.ts";
import { SteadyLink } from "../../host/link/steady-link.ts";
import { loadPins, loadScenario } from "../../sim/bench/load.ts";
import { runScenario } from "../../sim/bench/runner.ts";
import { ServedStore } from "../e2e/served-store.ts";
import { BYTES_PER_SECOND, PacedLine, type WireCounts } from "./paced-line.ts";
import type { Figure } from "./table.ts";

const BUSY_GOAL = 0.95;
const BUSY_LOSSY_GOAL = 0.85;
const LOST_SHARE = 0.02;
const DAY_MINUTES_GOAL = 2.5;
const DAY_SAMPLES = 86_400;
const STORE_GOAL = 0.9;
/** The wire takes some 10 s for them. */
const RECORDS = 45_000;
const TURNOVERS = 4;
/** A swell that the crew sleeps in. */
const SEA = { rollDeg: 6, periodS: 5 };
/** Samples that a store commits together, about. */
const TRANSACTION_ROWS = 5;
const TRANSACTIONS = 2_000;
/** Pulls of each kind; the middle one counts. */
const ROUNDS = 3;

export interface Wire {
	readonly rows: string[][];
	readonly figures: readonly Figure[];
}

export async function timeWire(root: string, scratch: string): Promise<Wire> {
	const log = nightsLog(root);
	const clean = await middlePull(log, 0, scratch);
	const lossy = await middlePull(log, LOST_SHARE, scratch);
	const percent = (share: number) => `${(100 * share).toFixed(1)} %`;
	const parts: ReadonlyArray<readonly [string, (counts: WireCounts) => number]> = [
		["records new to the archive", ({ fresh }) => fresh],
		["  of these: heads with chain", ({ heads }) => heads],
		["  of these: END and CRC", ({ seals }) => seals],
		["  of these: escapes", ({ escapes }) => escapes],
		["records again", ({ again }) => again],
		["lost frames", ({ lost }) => lost],
		["answers and pauses", ({ json }) => json],
	];
	const textBytes = log.reduce((sum, record) => sum + textOf(record).length, 0);
	const decoded = ({ counts: { fresh, again, lost, json } }: Trip) =>
		(textBytes / (fresh + again + lost + json)).toFixed(1);
	const share = (trip: Trip, bytes: number) => percent(bytes / (trip.seconds * BYTES_PER_SECOND));
	const rows = [
		["share of the wire's time", "no loss", `${percent(LOST_SHARE)} of frames lost`],
		...parts.map(([name, of]) => [
			name,
			share(clean, of(clean.counts)),
			share(lossy, of(lossy.counts)),
		]),
		["record bytes for each wire byte", decoded(clean), decoded(lossy)],
		["seconds", clean.seconds.toFixed(1), lossy.seconds.toFixed(1)],
	];
	const bytesASample = clean.counts.fresh / log.length;
	const dayMinutes = (clean.seconds / log.length / 60) * DAY_SAMPLES;
	const busy = (trip: Trip) => trip.counts.fresh / (trip.seconds * BYTES_PER_SECOND);
	return {
		rows,
		figures: [
			atLeast("wire busy with new records", busy(clean), BUSY_GOAL),
			atLeast(`the same with ${percent(LOST_SHARE)} lost`, busy(lossy), BUSY_LOSSY_GOAL),
			{
				what: "a day of 1 Hz samples on the wire",
				shown: `${dayMinutes.toFixed(2)} min (${bytesASample.toFixed(1)} bytes a sample)`,
				goal: `at most ${DAY_MINUTES_GOAL} min`,
				met: dayMinutes <= DAY_MINUTES_GOAL,
			},
			storeFigure(compareStores(log, scratch)),
		],
	};
}

function storeFigure(ratio: number): Figure {
	const figure = atLeast("store's rows a second", ratio, STORE_GOAL, "");
	return { ...figure, peer: "bare better-sqlite3, in turns", ratio };
}

function atLeast(what: string, value: number, goal: number, unit = "%"): Figure {
	const words = (number: number) =>
		unit === "%" ? `${(100 * number).toFixed(1)} %` : number.toFixed(2);
	return { what, shown: words(value), goal: `at least ${words(goal)}`, met: value >= goal };
}

interface Trip {
	readonly counts: WireCounts;
	/** From the first word, `hello`, to the last record in the archive. */
	readonly seconds: number;
}

async function middlePull(log: readonly LogRecord[], lostShare: number, scratch: string) {
	const trips: Trip[] = [];
	for (let n = 0; n < ROUNDS; n += 1) trips.push(await timePull(log, lostShare, scratch));
	trips.sort((a, b) => a.seconds - b.seconds);
	return trips[Math.floor(ROUNDS / 2)] as Trip;
}

/** @throws Error when the archive does not end with all of the log */
async function timePull(
	log: readonly LogRecord[],
	lostShare: number,
	scratch: string,
): Promise<Trip> {
	const served = await ServedStore.of(log);
	const line = new PacedLine(lostShare);
	line.attach(served.serve(line.serverLine));
	const open = async (path: string) => ({ path, stream: line.stream, close: async () => {} });
	const beganMs = performance.now();
	const link = await SteadyLink.open("memory", {
		...{ patienceMs: 0, listPorts: async () => [], open },
	});
	const archive = new Archive(join(mkdtempSync(join(scratch, "wire-")), "archive.sqlite"), {
		create: true,
	});
	const pulled = await pull({
		...{ link, archive, follow: false, signal: new AbortController().signal },
		onProgress: () => {},
		onLost: () => {},
	});
	const seconds = (performance.now() - beganMs) / 1000;
	line.close();
	archive.close();
	await served.close();
	if (pulled.records !== log.length) throw new Error(`${pulled.records} of ${log.length} came`);
	return { counts: line.counts, seconds };
}

/** What a controller writes in nights at a rolling anchorage, one boot each. */
function nightsLog(root: string): LogRecord[] {
	const file = join(root, "sim/bench/scenarios/clean-polish.bench.yaml");
	const { scenario, rig } = loadScenario(file);
	const orders = scenario.orders.map(({ polish, ...order }) =>
		polish === undefined ? order : { ...order, polish: { ...polish, turnovers: TURNOVERS } },
	);
	const start = { ...scenario.start, sea: SEA };
	const pins = loadPins(root);
	const log: LogRecord[] = [];
	for (let boot = 1; log.length < RECORDS; boot += 1) {
		const night = { ...scenario, start, orders, seed: boot, hoursMax: 14 };
		const { records } = runScenario(night, rig, pins);
		const before = log.length;
		for (const record of records) log.push({ ...record, seq: before + record.seq, boot });
		if (records.length < TURNOVERS * 7_000) throw new Error(`a night of ${records.length}`);
	}
	return log.slice(0, RECORDS);
}

/**
 * Rows in a second by the store's own way, over those of the same rows by the bare package: they
 * take turns, transaction by transaction, since a disk has its moods. Checkpoints are in both.
 */
function compareStores(log: readonly LogRecord[], scratch: string): number {
	const folder = mkdtempSync(join(scratch, "rows-"));
	const store = new StoreFile(join(folder, "store.sqlite"));
	const bare = openBare(join(folder, "bare.sqlite"));
	let [storeMs, bareMs] = [0, 0];
	for (let n = 0; n < TRANSACTIONS; n += 1) {
		const records = log.slice(n * TRANSACTION_ROWS, (n + 1) * TRANSACTION_ROWS);
		const rows = records.map((record) => {
			const { seq, boot, monoMs, kind } = record;
			return [seq, boot, monoMs, kind, textOf(record), "0".repeat(32)] as const;
		});
		const byStore = () => {
			storeMs += time(() => {
				store.write(records, []);
				if (store.isUntidy()) store.tidy();
			});
		};
		const byBare = () => {
			bareMs += time(() => bare.write(rows));
		};
		const turns = n % 2 === 0 ? [byStore, byBare] : [byBare, byStore];
		for (const turn of turns) turn();
	}
	store.close();
	bare.db.close();
	return bareMs / storeMs;
}

function openBare(file: string) {
	const db = new Database(file);
	for (const pragma of ["locking_mode = EXCLUSIVE", "journal_mode = WAL", "synchronous = FULL"]) {
		db.pragma(pragma);
	}
	db.exec(`CREATE TABLE records (seq INTEGER PRIMARY KEY, boot INTEGER NOT NULL,
		mono_ms INTEGER NOT NULL, kind TEXT NOT NULL, body TEXT NOT NULL, chain TEXT NOT NULL) STRICT`);
	const insert = db.prepare("INSERT INTO records VALUES (?, ?, ?, ?, ?, ?)");
	const write = db.transaction((some: ReadonlyArray<readonly unknown[]>) => {
		for (const row of some) insert.run(...row);
	});
	return { db, write };
}

function time(work: () => void): number {
	const fromMs = performance.now();
	work();
	return performance.now() - fromMs;
}
