// The folder that a store lives in. What is made or renamed here is on disk when a function
// returns: a file survives a power cut only when its folder was synced after it. A broken store
// gets another name and is never deleted.

import {
	closeSync,
	existsSync,
	fsyncSync,
	mkdirSync,
	openSync,
	readdirSync,
	renameSync,
} from "node:fs";
import { basename, dirname, join, resolve } from "node:path";

/** Of the files that SQLite keeps beside its database. */
const COMPANIONS = ["-wal", "-journal", "-shm"];

export function syncFolder(folder: string): void {
	const handle = openSync(folder, "r");
	try {
		fsyncSync(handle);
	} finally {
		closeSync(handle);
	}
}

/** Makes it and what it stands in; each new entry is synced. */
export function makeFolder(folder: string): void {
	const full = resolve(folder);
	if (existsSync(full)) return;
	const parent = dirname(full);
	makeFolder(parent);
	// One at a time: all at once, Node says of a read-only disk that there is no such folder.
	mkdirSync(full);
	syncFolder(parent);
}

/**
 * Gives a broken store the name `log.broken-N.sqlite`, with what belongs to it. The database goes
 * first: what is cut off in the middle must not look like a store whose newest records are gone.
 * @returns its new name
 */
export function setAside(file: string): string {
	const folder = dirname(file);
	const name = brokenName(file, Math.max(0, ...brokenNumbers(file)) + 1);
	renameSync(file, join(folder, name));
	syncFolder(folder);
	setCompanionsAside(file, name);
	return name;
}

/**
 * Write-ahead log or journal without a database: a setting aside that was cut off. They follow
 * their database, since a new one would make SQLite delete them.
 */
export function setOrphansAside(file: string): void {
	if (existsSync(file) || !COMPANIONS.some((suffix) => existsSync(file + suffix))) return;
	const newest = Math.max(1, ...brokenNumbers(file));
	const taken = COMPANIONS.some((suffix) =>
		existsSync(join(dirname(file), brokenName(file, newest) + suffix)),
	);
	// Of two such logs nobody knows which is whose: each gets a number.
	setCompanionsAside(file, brokenName(file, taken ? newest + 1 : newest));
}

/** The name of the store that was set aside last; null when none was. */
export function newestBroken(file: string): string | null {
	const numbers = brokenNumbers(file);
	return numbers.length === 0 ? null : brokenName(file, Math.max(...numbers));
}

function setCompanionsAside(file: string, name: string): void {
	const folder = dirname(file);
	for (const suffix of COMPANIONS) {
		if (existsSync(file + suffix)) renameSync(file + suffix, join(folder, name + suffix));
	}
	syncFolder(folder);
}

function brokenName(file: string, number: number): string {
	return `${stem(file)}.broken-${number}.sqlite`;
}

function brokenNumbers(file: string): number[] {
	const start = `${stem(file)}.broken-`;
	return readdirSync(dirname(file)).flatMap((entry) => {
		if (!entry.startsWith(start)) return [];
		const [, digits] = /^(\d+)\.sqlite/.exec(entry.slice(start.length)) ?? [];
		return digits === undefined ? [] : [Number(digits)];
	});
}

const stem = (file: string) => basename(file, ".sqlite");
