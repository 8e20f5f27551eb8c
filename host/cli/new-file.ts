// Writes what a command was asked to write into a file of its own, and never over one that is
// there. Imports Node and the error for bad input.

import { existsSync, writeFileSync } from "node:fs";
import { InputError } from "../../firmware/config/input-error.ts";

/** @throws InputError when there is one: it may be the very file that was read */
export function writeNewFile(file: string, content: string | Uint8Array): void {
	try {
		writeFileSync(file, content, { flag: "wx" });
	} catch (error) {
		const code = error instanceof Error && "code" in error ? String(error.code) : String(error);
		throw refusal(file, found[code] ?? code);
	}
}

/**
 * Before work of which the result would have no place.
 * @throws InputError when one of them is there
 */
export function refuseExisting(files: ReadonlyArray<string | undefined>): void {
	for (const file of files) {
		if (file !== undefined && existsSync(file)) throw refusal(file, THERE);
	}
}

const THERE = "a file that is there already";
const found: Readonly<Record<string, string>> = {
	EEXIST: THERE,
	ENOENT: "no such folder",
	ENOTDIR: "no such folder",
	EACCES: "a folder that may not be written to",
	EROFS: "a folder that may not be written to",
	ENOSPC: "a full disk",
};
const refusal = (file: string, what: string) =>
	new InputError([{ file, found: what, allowed: "a new file in a folder that is there" }]);
