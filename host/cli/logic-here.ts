// Which program this is, for whoever keeps what it decides: the package's version, and a hash over
// the sources of all that decides. Two programs of one hash decide the same.

import { createHash } from "node:crypto";
import { existsSync, readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import type { Logic } from "../../firmware/log/kept-run.ts";
import { projectRoot } from "./root.ts";

/** Of the firmware: what a tick looks at. */
const DECIDES = ["controller", "intake", "interlock", "local-time", "schedule", "totals"];
const FOLDERS = ["config", "cycle", "sense"];
const HASH_DIGITS = 12;

export function logicHere(): Logic {
	const text = readFileSync(join(projectRoot, "package.json"), "utf8");
	const { version } = JSON.parse(text) as { version: string };
	return { version, hash: hashHere() };
}

/** As written, or where the sources did not come along, as built. */
function hashHere(): string {
	const written = join(projectRoot, "firmware");
	const [folder, ending] = existsSync(join(written, "controller.ts"))
		? [written, ".ts"]
		: [join(projectRoot, ".build/firmware"), ".js"];
	const inside = FOLDERS.flatMap((name) =>
		readdirSync(join(folder, name))
			.filter((file) => file.endsWith(ending))
			.map((file) => join(name, file)),
	);
	const hash = createHash("sha256");
	for (const name of [...DECIDES.map((one) => one + ending), ...inside].sort()) {
		hash.update(`${name}\n`).update(readFileSync(join(folder, name)));
	}
	return hash.digest("hex").slice(0, HASH_DIGITS);
}
