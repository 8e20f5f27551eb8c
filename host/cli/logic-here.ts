// Which program this is, for whoever keeps what it decides: the package's version, and a hash over
// all that decides: the controller with what it imports, what reads its rig and its pin map, and
// the statechart library's version. Two programs of one hash decide the same. A build that came
// without its sources has another hash than they have: types and comments are not in it.

import { createHash } from "node:crypto";
import { existsSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { dirname, join } from "node:path";
import type { Logic } from "../../firmware/log/kept-run.ts";
import { projectRoot } from "./root.ts";

/** Of the firmware: what a tick begins in, and the readers that give it its rig and its pins. */
const ROOTS = ["controller", "config/rig", "config/pins"];
const HASH_DIGITS = 12;
/** Files of the project that a module imports; types decide nothing, and are not in a build. */
const IMPORTS = /^(?:import|export)\s(?!type\b)[^;"]*?\bfrom\s+"(\.[^"]+)"/gm;

export function logicHere(): Logic {
	return { version: versionIn(join(projectRoot, "package.json")), hash: hashHere() };
}

/** As written, or where the sources did not come along, as built. */
function hashHere(): string {
	const written = join(projectRoot, "firmware");
	const isWritten = existsSync(join(written, "controller.ts"));
	const folder = isWritten ? written : join(projectRoot, ".build/firmware");
	const hash = createHash("sha256");
	for (const [name, text] of decidingFiles(folder, isWritten ? ".ts" : ".js")) {
		hash.update(`${name}\n`).update(text);
	}
	const chart = createRequire(import.meta.url).resolve("xstate/package.json");
	hash.update(`xstate ${versionIn(chart)}\n`);
	return hash.digest("hex").slice(0, HASH_DIGITS);
}

/** Files that decide, by their names in the firmware's folder, each with its text. */
export function decidingFiles(folder: string, ending: ".ts" | ".js"): Array<[string, string]> {
	const found = new Map<string, string>();
	const visit = (name: string): void => {
		if (found.has(name)) return;
		const text = readFileSync(join(folder, name), "utf8");
		found.set(name, text);
		for (const [, path = ""] of text.matchAll(IMPORTS)) visit(join(dirname(name), path));
	};
	for (const root of ROOTS) visit(root + ending);
	return [...found].sort(([one], [other]) => (one < other ? -1 : 1));
}

function versionIn(file: string): string {
	return (JSON.parse(readFileSync(file, "utf8")) as { version: string }).version;
}
