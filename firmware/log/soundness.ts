// Whether a file may be used as a record store: not somebody else's, not of a newer program, not
// held by another process, not broken. What is refused is left as it was found.

import { closeSync, existsSync, openSync, readSync } from "node:fs";
import type { Database } from "better-sqlite3";
import { messageOf } from "../config/input-error.ts";
import type { ChainEnd, StoredRecord } from "./chain.ts";
import { followed } from "./digest.ts";

/** 2: digests may stand in it, and texts say their version. The tables are those of version 1. */
export const SCHEMA_VERSION = 2;
/** "LEES" as a number: tells a store from any other SQLite file. */
export const APPLICATION_ID = 0x4c454553;
/** The newest rows whose chain is checked at each opening: an hour and more at work. */
const ROWS_CHECKED = 5_000;
const PIECE_BYTES = 1 << 20;

/** Not ours to use: it stays untouched. */
export class RefusedStore extends Error {}

/** It was a store, or should be one, and cannot be relied on. */
export class BrokenStore extends Error {}

// Of SQLite's file format, from its documentation (sqlite.org/fileformat2.html), section 1.3.
const MAGIC = "SQLite format 3\0";
const HEADER_BYTES = 100;
const USER_VERSION_AT = 60;
const APPLICATION_ID_AT = 68;

/**
 * Looks at the first bytes only: SQLite itself would touch the file, and delete a write-ahead log
 * beside one that is no database. An application number of 0 says nothing, since the header of a
 * store may still be in that log; nor does anything while a journal waits to be rolled back.
 * @throws RefusedStore, BrokenStore
 */
export function checkHeader(file: string): void {
	const head = Buffer.alloc(HEADER_BYTES);
	const length = headOf(file, head);
	if (length === 0 || existsSync(`${file}-journal`)) return;
	if (length < HEADER_BYTES || head.toString("latin1", 0, MAGIC.length) !== MAGIC) {
		throw new BrokenStore("file is not a database");
	}
	const application = head.readUInt32BE(APPLICATION_ID_AT);
	if (application === 0) return;
	refuseOther(application, head.readUInt32BE(USER_VERSION_AT));
}

/** @throws RefusedStore */
export function refuseOther(application: unknown, version: number): void {
	if (application !== APPLICATION_ID) {
		throw new RefusedStore("a database that is no record store");
	}
	if (version > SCHEMA_VERSION) {
		throw new RefusedStore(`a record store of version ${version}, newer than ${SCHEMA_VERSION}`);
	}
}

/** A folder where a file should be, or the other way round: a slip of the one who named it. */
const NO_FILE: ReadonlySet<string> = new Set(["EEXIST", "ENOTDIR", "EISDIR"]);

/** What was thrown while a store was opened, by what it says of the file. */
export function judged(error: unknown): Error {
	if (error instanceof RefusedStore || error instanceof BrokenStore) return error;
	const why = messageOf(error);
	const code = error instanceof Error && "code" in error ? String(error.code) : "";
	if (code === "SQLITE_BUSY" || NO_FILE.has(code)) return new RefusedStore(why);
	const broken = code === "SQLITE_NOTADB" || code.startsWith("SQLITE_CORRUPT");
	// Plain errors come of statements that do not fit the tables.
	if (broken || code === "SQLITE_ERROR") return new BrokenStore(why);
	return error instanceof Error ? error : new Error(why);
}

/** @throws BrokenStore when SQLite's own check or the chain of the newest rows does not hold */
export function checkSound(db: Database, storeId: string): void {
	const found = db.pragma("quick_check(1)", { simple: true });
	if (found !== "ok") throw new BrokenStore(String(found).replaceAll("\n", " "));
	const newest = db.prepare(
		"SELECT seq, kind, body AS json, chain FROM records ORDER BY seq DESC LIMIT ?",
	);
	const rows = newest.all(ROWS_CHECKED + 1) as Array<StoredRecord & { kind: string }>;
	rows.reverse();
	// What a digest stands for is older than it: the first row is then its own beginning.
	const first = rows.length > ROWS_CHECKED ? rows.shift() : undefined;
	let end: ChainEnd = first ?? { seq: 0, chain: storeId };
	for (const row of rows) {
		const next = followed(end, row);
		if (next === null || !saysItself(row)) {
			throw new BrokenStore(`the chain is broken at record ${row.seq}`);
		}
		end = next;
	}
}

/** The columns that are asked for say what the text says. */
function saysItself({ seq, kind, json }: StoredRecord & { kind: string }): boolean {
	return json.startsWith(`{"seq":${seq},`) && json.includes(`"kind":"${kind}"`);
}

/** @throws Error when any of it cannot be read: SQLite may call that damaged */
export function readThrough(file: string): void {
	const piece = Buffer.alloc(PIECE_BYTES);
	for (const name of [file, `${file}-wal`]) {
		if (!existsSync(name)) continue;
		const handle = openSync(name, "r");
		try {
			while (readSync(handle, piece) > 0);
		} finally {
			closeSync(handle);
		}
	}
}

/** @returns how many bytes were there to be read; 0 when the file is not there */
function headOf(file: string, head: Buffer): number {
	let handle: number;
	try {
		handle = openSync(file, "r");
	} catch (error) {
		if (error instanceof Error && "code" in error && error.code === "ENOENT") return 0;
		throw error;
	}
	try {
		return readSync(handle, head, 0, head.length, 0);
	} finally {
		closeSync(handle);
	}
}
