// Opens the store of a folder: makes folder and file where there are none, sets a broken file aside
// and begins anew. What was lost with it is said until the new store has a record of it.

import { dirname } from "node:path";
import { type LastRecord, StoreFile } from "./database.ts";
import { makeFolder, newestBroken, setAside, setOrphansAside } from "./folder.ts";
import type { LogRecord } from "./record.ts";
import { BrokenStore, judged, readThrough } from "./soundness.ts";

export interface Opened {
	readonly store: StoreFile;
	/** All that a restart has to know. */
	readonly history: LogRecord[];
	readonly last: LastRecord;
	/** What became of a log that could not be read, in words; null when nothing is lost. */
	readonly lost: string | null;
}

/** @throws RefusedStore when the file is not ours to use; Error when the disk gives no store */
export function openStore(file: string, bytesMax?: number): Opened {
	try {
		makeFolder(dirname(file));
		setOrphansAside(file);
	} catch (error) {
		throw judged(error);
	}
	try {
		return openFile(file, bytesMax, "");
	} catch (error) {
		if (!(error instanceof BrokenStore)) throw error;
		readThrough(file);
		if (isSound(file, bytesMax)) throw new Error(`it read otherwise at first: ${error.message}`);
		setAside(file);
		return openFile(file, bytesMax, `: ${error.message}`);
	}
}

/** Broken twice is broken: a disk that fails to read must not put a sound log away. */
function isSound(file: string, bytesMax: number | undefined): boolean {
	try {
		openFile(file, bytesMax, "").store.close();
		return true;
	} catch (error) {
		if (error instanceof BrokenStore) return false;
		throw error;
	}
}

function openFile(file: string, bytesMax: number | undefined, why: string): Opened {
	const store = new StoreFile(file, bytesMax);
	try {
		const history = store.history();
		const last = store.last();
		// A store without a record has not told yet of the one before it.
		const broken = last.seq === 0 ? newestBroken(file) : null;
		const lost = broken === null ? null : `the log was unreadable; it is kept as ${broken}${why}`;
		return { store, history, last, lost };
	} catch (error) {
		store.close();
		throw error;
	}
}
