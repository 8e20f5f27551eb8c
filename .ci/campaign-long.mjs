// `npm run campaign:long`: goes on from seed to seed until the pump has been on for a year. Prints
// a line after each row of seeds, with which a run that was cut short goes on:
// `npm run campaign:long -- --from SEED --done HOURS`. Ends at once where an invariant breaks,
// unless --all is given.

import { spawnSync } from "node:child_process";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { build, installMissing, root } from "./prepare.mjs";

const YEAR_HOURS = 8_766;
const ROW = 500;
/** The longest that an order pumps: longer than in `npm test`, so that rests and duty add up. */
const HOURS = 6;

const { values } = parseArgs({
	options: {
		from: { type: "string", default: "100001" },
		done: { type: "string", default: "0" },
		hours: { type: "string", default: String(YEAR_HOURS) },
		all: { type: "boolean", default: false },
	},
});
let from = Number(values.from);
let pumped = Number(values.done);
const goal = Number(values.hours);
if (![from, pumped, goal].every((value) => Number.isFinite(value) && value >= 0)) {
	console.error("--from, --done and --hours are numbers from 0 up");
	process.exit(2);
}

installMissing();
build();
let violations = 0;
const began = Date.now();
while (pumped < goal && (violations === 0 || values.all)) {
	const seeds = `${from}..${from + ROW - 1}`;
	const args = ["campaign", "--json", "--hours", String(HOURS), "--seeds", seeds];
	args.push("--write", join(root, ".build/lees-campaign"));
	const done = spawnSync(process.execPath, [join(root, ".build/host/cli/main.js"), ...args], {
		cwd: root,
		encoding: "utf8",
		stdio: ["ignore", "pipe", "inherit"],
		maxBuffer: 1 << 26,
	});
	if (done.stdout.trim() === "") process.exit(done.status ?? 1);
	const { pumpOnHours, simulatedHours, failures, kept } = JSON.parse(done.stdout);
	pumped += pumpOnHours;
	violations += failures.length;
	from += ROW;
	for (const { seed, invariant, atSeconds } of failures) {
		console.log(`${invariant}: at ${atSeconds.toFixed(1)} s of seed ${seed}, --hours ${HOURS}`);
	}
	for (const { file, cut } of kept) console.log(`  npx lees bench ${file}: ${cut.join("; ")}`);
	console.log(
		`seeds ${seeds}: ${simulatedHours.toFixed(0)} h, pump on ${pumpOnHours.toFixed(0)} h; in all ` +
			`${pumped.toFixed(1)} of ${goal} h in ${((Date.now() - began) / 60_000).toFixed(1)} min; ` +
			`goes on with --from ${from} --done ${pumped.toFixed(1)}`,
	);
}
console.log(`${pumped.toFixed(0)} h with the pump on, ${violations} violations`);
process.exit(violations === 0 ? 0 : 1);
