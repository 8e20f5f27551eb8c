// The archive's file: made whole or not at all, and opened only when it is an archive that this
// program knows. Anything else is refused by its first bytes, since SQLite itself would touch it.

import {
	closeSync,
	existsSync,
	fsyncSync,
	openSync,
	readSync,
	renameSync,
	rmSync,
	writeSync,
} from "node:fs";
import { dirname } from "node:path";
import Database from "better-sqlite3";
import { InputError, messageOf } from "../../firmware/config/input-error.ts";
import { APPLICATION_ID, makeSchema, migrate, SCHEMA_VERSION } from "./archive-schema.ts";

const MAGIC = "SQLite format 3\0";
/** Offsets in the file's head (SQLite's file format, section 1.3). */
const USER_VERSION_AT = 60;
const APPLICATION_ID_AT = 68;
const HEAD_BYTES = 100;

const MADE_BY_PULL = "an archive that `lees pull` has made";

/**
 * Opens the archive; with `create` makes one where there is none.
 * @throws InputError when it is there and is no archive of a version known; it is left untouched
 */
export function openArchiveFile(file: string, { create }: { create: boolean }): Database.Database {
	if (!existsSync(file)) {
		if (!create) {
			throw refusal(file, "no such archive", "an archive that `lees pull` has filled");
		}
		attempt(file, () => make(file));
	}
	const version = versionOf(file);
	return attempt(file, () => open(file, version));
}

/** What went wrong with the archive, as bad input. */
export const refusal = (file: string, found: string, allowed: string): InputError =>
	new InputError([{ file, found, allowed }]);

function attempt<T>(file: string, work: () => T): T {
	try {
		return work();
	} catch (error) {
		if (error instanceof InputError) throw error;
		if (error instanceof Error && "code" in error && error.code === "ENOENT") {
			throw refusal(file, "no such folder", "an archive in a folder that is there");
		}
		throw refusal(file, messageOf(error), "an archive that can be opened");
	}
}

function open(file: string, version: number): Database.Database {
	const db = new Database(file);
	try {
		if (version < SCHEMA_VERSION) {
			// Without a log beside it the head of the file always tells the version.
			db.pragma("journal_mode = DELETE");
			db.pragma("synchronous = FULL");
			migrate(db, version);
		}
		db.pragma("journal_mode = WAL");
		db.pragma("synchronous = FULL");
		return db;
	} catch (error) {
		db.close();
		throw error;
	}
}

/** Built beside its place and moved there: a cut leaves no half of an archive. */
function make(file: string): void {
	const empty = new Database(":memory:");
	makeSchema(empty);
	const bytes = empty.serialize();
	empty.close();
	const beside = `${file}.new`;
	rmSync(beside, { force: true });
	const handle = openSync(beside, "wx");
	writeSync(handle, bytes);
	fsyncSync(handle);
	closeSync(handle);
	renameSync(beside, file);
	const folder = openSync(dirname(file), "r");
	fsyncSync(folder);
	closeSync(folder);
}

/** Looks at the first bytes only. @throws InputError when it is no archive of a version known */
function versionOf(file: string): number {
	const head = Buffer.alloc(HEAD_BYTES);
	let length = 0;
	try {
		const handle = openSync(file, "r");
		length = readSync(handle, head, 0, head.length, 0);
		closeSync(handle);
	} catch (error) {
		const why = error instanceof Error && "code" in error ? String(error.code) : String(error);
		throw refusal(file, why === "EISDIR" ? "a directory" : why, "an archive file");
	}
	if (length < HEAD_BYTES || head.toString("latin1", 0, MAGIC.length) !== MAGIC) {
		throw refusal(file, "a file that is no archive", MADE_BY_PULL);
	}
	if (head.readUInt32BE(APPLICATION_ID_AT) !== APPLICATION_ID) {
		throw refusal(file, "a database that is no archive", MADE_BY_PULL);
	}
	const version = head.readUInt32BE(USER_VERSION_AT);
	if (version < 1 || version > SCHEMA_VERSION) {
		throw refusal(file, `an archive of version ${version}`, `version 1 to ${SCHEMA_VERSION}`);
	}
	return version;
}
