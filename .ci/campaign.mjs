// A stage of `npm test`: the fixed row of seeds of `lees campaign`, from the build. Prints the
// hours that the pump was on; fails when an invariant broke, or when a fault never struck. Seeds
// that fail are written as scenarios into the build's folder.

import { spawnSync } from "node:child_process";
import { join } from "node:path";
import { root } from "./prepare.mjs";

const command = join(root, ".build/host/cli/main.js");
/** Every fault leads five stories. */
const SEEDS = "1..1200";
const began = Date.now();
console.log(`campaign: seeds ${SEEDS}`);
const folder = join(root, ".build/lees-campaign");
const args = ["campaign", "--seeds", SEEDS, "--json", "--write", folder];
const done = spawnSync(process.execPath, [command, ...args], {
	cwd: root,
	encoding: "utf8",
	stdio: ["ignore", "pipe", "inherit"],
	maxBuffer: 1 << 26,
});
if (done.stdout.trim() === "") process.exit(done.status ?? 1);
const found = JSON.parse(done.stdout);
const { seeds, runs, pumpOnHours, simulatedHours, failures, kept, runsPerFault, hoursMax } = found;
const counts = Object.values(runsPerFault);
const never = Object.keys(runsPerFault).filter((fault) => runsPerFault[fault] === 0);
console.log(
	`campaign: seeds ${seeds.from}..${seeds.to}, ${runs} runs, ${pumpOnHours.toFixed(0)} h with ` +
		`the pump on, ${simulatedHours.toFixed(0)} h in all, each fault in ${Math.min(...counts)} to ` +
		`${Math.max(...counts)} runs, ${((Date.now() - began) / 1000).toFixed(0)} s`,
);
for (const { seed, invariant, atSeconds } of failures) {
	console.log(`${invariant}: at ${atSeconds.toFixed(1)} s of seed ${seed}`);
	console.log(`  npx lees campaign --seeds ${seed}..${seed} --hours ${hoursMax}`);
}
for (const { file, cut } of kept) console.log(`  npx lees bench ${file}: ${cut.join("; ")}`);
if (never.length > 0) console.log(`never struck: ${never.join(", ")}`);
process.exit(done.status === 0 && never.length === 0 ? 0 : 1);
