// Writes what a command was asked to write into a file of its own, and never over one that is
// there. Imports Node and the error for bad input.

import { writeFileSync } from "node:fs";
import { InputError } from "../../firmware/config/input-error.ts";

/** @throws InputError when there is one: it may be the very file that was read */
export function writeNewFile(file: string, text: string): void {
	try {
		writeFileSync(file, text, { flag: "wx" });
	} catch (error) {
		const code = error instanceof Error && "code" in error ? String(error.code) : String(error);
		const found = code === "EEXIST" ? "a file that is there already" : code;
		throw new InputError([{ file, found, allowed: "a new file in a folder that is there" }]);
	}
}
