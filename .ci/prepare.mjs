// Brings a fresh clone to a built state: installs the locked packages when they are missing or
// older than the lock file, then compiles and builds the pages. Nothing else is needed on the
// machine but Node and npm.

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

/** Debian packages that the tests start: pseudo-terminals, and faults in system calls. */
const DEBIAN = ["socat", "strace"];

/** Installs what is missing of them where it may; elsewhere says what to type. */
export function installDebianMissing() {
	const has = (name) => spawnSync(name, ["-V"], { stdio: "ignore" }).error === undefined;
	const missing = DEBIAN.filter((name) => !has(name));
	if (missing.length === 0) return;
	if (process.getuid?.() !== 0) {
		console.error(`the tests need: apt-get install ${missing.join(" ")}`);
		process.exit(1);
	}
	run("apt-get", ["update", "-qq"]);
	run("apt-get", ["install", "-y", "-qq", ...missing]);
}

export function build() {
	run("npm", ["run", "--silent", "build"]);
}
