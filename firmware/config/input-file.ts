// Reads an input file from disk, or says plainly why it cannot. Node only; the readers of the
// text itself are pure and stand beside this file.

import { readFileSync, statSync } from "node:fs";
import { InputError } from "./input-error.ts";

/** No rig, pin map or scenario comes near this; a larger file is a mistake. */
const BYTES_MAX = 1_000_000;

/**
 * The text of a UTF-8 file.
 * @throws InputError when it is missing, a directory, not readable, too large or not UTF-8
 */
export function readInputFile(file: string): string {
	const refuse = (found: string, allowed: string) => new InputError([{ file, found, allowed }]);
	let bytes: Buffer;
	try {
		const stat = statSync(file);
		if (stat.isDirectory()) throw refuse("a directory", "a file");
		if (!stat.isFile()) throw refuse("no ordinary file", "a file");
		if (stat.size > BYTES_MAX) throw refuse(`${stat.size} bytes`, `at most ${BYTES_MAX} bytes`);
		bytes = readFileSync(file);
	} catch (error) {
		if (error instanceof InputError) throw error;
		throw refuse(failureWords(error), "a readable file");
	}
	try {
		return new TextDecoder("utf-8", { fatal: true }).decode(bytes);
	} catch {
		throw refuse("bytes that are not UTF-8", "UTF-8 text");
	}
}

function failureWords(error: unknown): string {
	const code = error instanceof Error && "code" in error ? String(error.code) : "";
	if (code === "ENOENT") return "no such file";
	if (code === "ENOTDIR") return "no such folder on the way to it";
	return code === "EACCES" ? "a file that may not be read" : `a file that failed to read (${code})`;
}
