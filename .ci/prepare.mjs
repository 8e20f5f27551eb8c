// Brings a fresh clone to a built state: installs the locked packages when they are missing or
// older than the lock file, then compiles. Nothing else is needed on the machine but Node and npm.

import { spawnSync } from "node:child_process";
import { existsSync, statSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

export const root = dirname(dirname(fileURLToPath(import.meta.url)));

/** Runs a command with its output shown; ends this process when it fails. */
export function run(command, args, options = {}) {
	const done = spawnSync(command, args, { cwd: root, stdio: "inherit", ...options });
	if (done.status !== 0) process.exit(done.status ?? 1);
}

export function installMissing() {
	const stamp = join(root, "node_modules", ".package-lock.json");
	const lock = join(root, "package-lock.json");
	if (existsSync(stamp) && statSync(stamp).mtimeMs >= statSync(lock).mtimeMs) return;
	run("npm", ["ci", "--no-audit", "--no-fund"]);
}

export function build() {
	run(process.execPath, ["node_modules/typescript/bin/tsc", "--project", "tsconfig.json"]);
}
