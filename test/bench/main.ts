// `npm run bench`: the project's performance goals, measured against a peer or a limit in the same
// run. A missed goal is told and ends with 0: the machine may be busy. Only a broken run ends with
// 1. Writes to the terminal.

import { mkdtempSync, rmSync } from "node:fs";
import { availableParallelism, loadavg, tmpdir } from "node:os";
import { join } from "node:path";
import { setFlagsFromString } from "node:v8";
import { projectRoot } from "../../host/cli/root.ts";
import { timeArchive } from "./archive-speed.ts";
import { timeClosedLoop } from "./closed-loop.ts";
import { timeEmulated } from "./emulated-speed.ts";
import { timeUnderFlood } from "./link-flood.ts";
import { comparePlants } from "./plant-speed.ts";
import { PlantTwin } from "./plant-twin.ts";
import { timeStartUp } from "./start-up.ts";
import { columns, verdict } from "./table.ts";
import { timeWire } from "./wire-speed.ts";

// A step of the model is a tree of short functions. V8 makes one piece of code of it if it may, and
// then numbers need no boxes between them: about a fifth of the model's time.
setFlagsFromString("--max-inlined-bytecode-size-cumulative=5000");

const load = () =>
	loadavg()
		.map((value) => value.toFixed(2))
		.join(" ");

const scratch = mkdtempSync(join(tmpdir(), "lees-bench-"));
console.log(`Node ${process.version}, ${availableParallelism()} cores, load average ${load()}\n`);
try {
	const plants = comparePlants(projectRoot, new PlantTwin(projectRoot, scratch));
	console.log(`${columns(plants.rows)}\n${verdict(plants.figure)}\n`);
	const loop = await timeClosedLoop(projectRoot);
	console.log(`${columns(loop.parts)}\n\n${columns(loop.functions)}\n${verdict(loop.figure)}\n`);
	const emulated = await timeEmulated(projectRoot);
	console.log(`${columns(emulated.rows)}\n${emulated.figures.map(verdict).join("\n")}\n`);
	const flood = await timeUnderFlood(projectRoot, scratch);
	console.log(`${columns(flood.rows)}\n${verdict(flood.figure)}\n`);
	const archive = timeArchive(scratch);
	console.log(`${columns(archive.rows)}\n${archive.figures.map(verdict).join("\n")}\n`);
	const wire = await timeWire(projectRoot, scratch);
	console.log(`${columns(wire.rows)}\n${wire.figures.map(verdict).join("\n")}\n`);
	const startUp = timeStartUp(projectRoot);
	console.log(`${columns(startUp.rows)}\n${startUp.figures.map(verdict).join("\n")}\n`);
	console.log(`load average at the end ${load()}`);
} finally {
	rmSync(scratch, { recursive: true, force: true });
}
