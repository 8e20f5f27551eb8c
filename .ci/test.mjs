// `npm test`: installs what is missing, then type check, lint, import table, dead code and all
// tests, and a campaign of drawn stories. Prints the minutes of each stage, and closes with
// `N passed, N failed`.

import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, relative } from "node:path";
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

/** The longest files, and those that the order of the files should know of. */
async function tellLongest(testResults) {
	const { lengths } = await import("../.build/test/file-order.js");
	const files = testResults
		.map(({ name, startTime, endTime }) => ({
			file: relative(root, name),
			seconds: (endTime - startTime) / 1000,
		}))
		.sort((a, b) => b.seconds - a.seconds);
	const told = ({ file, seconds }) => `${file} ${seconds.toFixed(0)} s`;
	console.log(`longest: ${files.slice(0, 10).map(told).join(", ")}`);
	const unlisted = files.filter(({ file, seconds }) => seconds > 20 && !(file in lengths));
	if (unlisted.length > 0) {
		console.log(`not in test/file-order.ts: ${unlisted.map(told).join(", ")}`);
	}
}

let passed = 0;
let failed = 0;
let results = [];
try {
	const { numPassedTests, numFailedTests, testResults } = JSON.parse(readFileSync(report, "utf8"));
	passed = numPassedTests;
	failed = numFailedTests;
	results = testResults;
} catch {
	console.log("the test runner left no report");
}
await tellLongest(results).catch(({ message }) => console.log(message));
rmSync(scratch, { recursive: true, force: true });
// A failed stage counts as one failure even where no single test did.
console.log(`${passed} passed, ${Math.max(failed, failedStages)} failed`);
process.exit(failed + failedStages === 0 && passed > 0 ? 0 : 1);
