// Brings a fresh clone to a built state: installs the locked packages when they are missing or
// older than the lock file, then compiles and builds the pages. Nothing else is needed on the
// machine but Node and npm.

import { spawnSync } from "node:child_process";
import { existsSync, statSync } from "node:fs";
import { delimiter, dirname, join } from "node:path";
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

/**
 * What the tests start, and the Debian package that brings it: pseudo-terminals, faults in system
 * calls, a browser for the pages, what reads a PDF back, the checkers of the service's files, and a
 * circuit simulator.
 */
const DEBIAN = {
	socat: "socat",
	strace: "strace",
	chromium: "chromium",
	pdftotext: "poppler-utils",
	shellcheck: "shellcheck",
	"systemd-analyze": "systemd",
	udevadm: "udev",
	ngspice: "ngspice",
};

const isOnPath = (name) =>
	(process.env.PATH ?? "").split(delimiter).some((folder) => existsSync(join(folder, name)));

/** Installs what is missing of them where it may; elsewhere says what to type. */
export function installDebianMissing() {
	const missing = Object.keys(DEBIAN)
		.filter((name) => !isOnPath(name))
		.map((name) => DEBIAN[name]);
	if (missing.length === 0) return;
	const install = ["install", "-y", "-qq", ...missing];
	if (process.getuid?.() !== 0) {
		console.error(`the tests need: apt-get install ${missing.join(" ")}`);
		process.exit(1);
	}
	run("apt-get", ["update", "-qq"]);
	run("apt-get", install, { env: { ...process.env, DEBIAN_FRONTEND: "noninteractive" } });
}

export function build() {
	run("npm", ["run", "--silent", "build"]);
}
