// Tables of the laptop's archive, and how an archive of an earlier version is brought up to this
// one. Imports better-sqlite3's types and the import of records, through which old ones go again.

import type Database from "better-sqlite3";
import { RecordImport } from "./record-import.ts";
import { ROLLUP_COLUMNS } from "./rollup.ts";

export const SCHEMA_VERSION = 4;
/** "LEEA" as a number. */
export const APPLICATION_ID = 0x4c454541;

/**
 * `texts`: every record but packed samples, as it was chained; a digest stands at its last number
 * and covers all since the record before. `stretches`: samples of one boot in a row, packed, with
 * the chain value at their end. `buckets`: five minutes of a boot.
 */
const TABLES_2 = `
	CREATE TABLE stores (
		id INTEGER PRIMARY KEY,
		store_id TEXT NOT NULL UNIQUE,
		last_seq INTEGER NOT NULL,
		last_chain TEXT NOT NULL,
		run_motor_ms INTEGER NOT NULL,
		run_pulses INTEGER NOT NULL,
		unordered_motor_ms INTEGER NOT NULL,
		unordered_pulses INTEGER NOT NULL
	) STRICT;
	CREATE TABLE texts (
		store INTEGER NOT NULL REFERENCES stores,
		seq INTEGER NOT NULL,
		boot INTEGER NOT NULL,
		mono_ms INTEGER NOT NULL,
		kind TEXT NOT NULL,
		body TEXT NOT NULL,
		chain TEXT NOT NULL,
		PRIMARY KEY (store, seq)
	) STRICT, WITHOUT ROWID;
	CREATE TABLE stretches (
		id INTEGER PRIMARY KEY,
		store INTEGER NOT NULL REFERENCES stores,
		from_seq INTEGER NOT NULL,
		to_seq INTEGER NOT NULL,
		boot INTEGER NOT NULL,
		to_ms INTEGER NOT NULL,
		columns BLOB NOT NULL,
		chain TEXT NOT NULL
	) STRICT;
	CREATE UNIQUE INDEX stretches_by_seq ON stretches (store, from_seq);
	CREATE INDEX stretches_by_boot ON stretches (store, boot, to_ms);
	CREATE TABLE buckets (
		store INTEGER NOT NULL REFERENCES stores,
		boot INTEGER NOT NULL,
		bucket INTEGER NOT NULL,
		${ROLLUP_COLUMNS.map((name) => `${name} REAL`).join(",\n\t\t")},
		PRIMARY KEY (store, boot, bucket)
	) STRICT, WITHOUT ROWID;
	CREATE TABLE sightings (
		store INTEGER NOT NULL REFERENCES stores,
		boot INTEGER NOT NULL,
		mono_ms INTEGER NOT NULL,
		utc_ms INTEGER NOT NULL,
		uncertainty_ms INTEGER NOT NULL,
		PRIMARY KEY (store, boot, mono_ms, utc_ms)
	) STRICT, WITHOUT ROWID;
	CREATE TABLE notes (
		id TEXT PRIMARY KEY,
		rig TEXT NOT NULL,
		at_utc_ms INTEGER NOT NULL,
		kind TEXT NOT NULL,
		body TEXT NOT NULL,
		struck_utc_ms INTEGER
	) STRICT, WITHOUT ROWID;
`;

/** What was pinned by that record: a kept run, as it came. `to_ms` is its last tick. */
const WINDOWS = `
	CREATE TABLE windows (
		store INTEGER NOT NULL REFERENCES stores,
		seq INTEGER NOT NULL,
		boot INTEGER NOT NULL,
		to_ms INTEGER NOT NULL,
		run BLOB NOT NULL,
		PRIMARY KEY (store, seq)
	) STRICT;
`;

/** One photo a note, without what it told of place and time. */
const PHOTOS = `
	CREATE TABLE photos (
		note TEXT PRIMARY KEY REFERENCES notes (id),
		kind TEXT NOT NULL,
		sha256 TEXT NOT NULL,
		bytes BLOB NOT NULL
	) STRICT;
`;

export function makeSchema(db: Database.Database): void {
	db.exec(TABLES_2 + WINDOWS + PHOTOS);
	db.pragma(`application_id = ${APPLICATION_ID}`);
	db.pragma(`user_version = ${SCHEMA_VERSION}`);
}

/** From each version to the next one; each in the transaction of all. */
const MIGRATIONS: ReadonlyArray<(db: Database.Database) => void> = [
	fromFirst,
	fromSecond,
	fromThird,
];

/**
 * Brings an archive up to date, wholly or not at all.
 * @throws Error when its records are not what they should be; nothing is changed then
 */
export function migrate(db: Database.Database, version: number): void {
	db.transaction(() => {
		for (const step of MIGRATIONS.slice(version - 1)) step(db);
		db.pragma(`user_version = ${SCHEMA_VERSION}`);
	}).immediate();
}

/** Version 1 had one table, a row a record with its text and chain. */
function fromFirst(db: Database.Database): void {
	db.exec("ALTER TABLE records RENAME TO records_of_version_1");
	db.exec(TABLES_2);
	const select = `SELECT body, chain FROM records_of_version_1
		WHERE store_id = ? AND seq > ? ORDER BY seq LIMIT 10000`;
	const records = new RecordImport(db);
	const ids = db
		.prepare("SELECT DISTINCT store_id AS id FROM records_of_version_1 ORDER BY id")
		.all() as Array<{ id: string }>;
	for (const { id } of ids) {
		for (;;) {
			const rows = db.prepare(select).all(id, records.last(id)?.seq ?? 0) as Array<{
				body: string;
				chain: string;
			}>;
			const chain = rows.at(-1)?.chain;
			if (chain === undefined) break;
			records.take(id, { items: rows.map(({ body }) => body), chain });
		}
	}
	db.exec("DROP TABLE records_of_version_1");
}

/** Version 2 knew no windows. */
function fromSecond(db: Database.Database): void {
	db.exec(WINDOWS);
}

/** Version 3 knew no photos. */
function fromThird(db: Database.Database): void {
	db.exec(PHOTOS);
}
