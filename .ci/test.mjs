// `npm test`: installs what is missing, then type check, lint, import table, dead code and all
// tests, and a campaign of drawn stories. Prints the minutes of each stage, and closes with `N passed, N failed`.

import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { installDebianMissing, installMissing, root } from "./prepare.mjs";

const scratch = mkdtempSync(join(tmpdir(), "lees-test-"));
const report = join(scratch, "vitest.json");
const reporters = ["--reporter=default", "--reporter=json", `--outputFile.json=${report}`];

/** Stages after the build: a name and the package's script for it. */
const stages = [
	["lint and format", ["run", "--silent", "lint"]],
	["import table", ["run", "--silent", "imports"]],
	["dead code", ["run", "--silent", "dead-code"]],
	["tests", ["run", "--silent", "unit", "--", ...reporters]],
	["campaign", ["run", "--silent", "campaign"]],
];

let failedStages = 0;
const timed = (name, work) => {
	const began = Date.now();
	const good = work();
	const minutes = ((Date.now() - began) / 60_000).toFixed(2);
	console.log(`stage ${name}: ${minutes} min${good ? "" : ", FAILED"}`);
	if (!good) failedStages += 1;
};

timed("install", () => {
	installMissing();
	installDebianMissing();
	return true;
});
timed(
	"type check and build",
	() =>
		spawnSync("npm", ["run", "--silent", "build"], { cwd: root, stdio: "inherit" }).status === 0,
);
for (const [name, args] of stages) {
	timed(name, () => spawnSync("npm", args, { cwd: root, stdio: "inherit" }).status === 0);
}

let passed = 0;
let failed = 0;
try {
	const { numPassedTests, numFailedTests } = JSON.parse(readFileSync(report, "utf8"));
	passed = numPassedTests;
	failed = numFailedTests;
} catch {
	console.log("the test runner left no report");
}
rmSync(scratch, { recursive: true, force: true });
// A failed stage counts as one failure even where no single test did.
console.log(`${passed} passed, ${Math.max(failed, failedStages)} failed`);
process.exit(failed + failedStages === 0 && passed > 0 ? 0 : 1);
