// `npm run bench`: the project's performance goals, measured against a peer or a limit in the same
// run, and all of them in one table at the end. `-- NAME…` runs some parts, `-- --short` leaves
// out those of many minutes (`-- --minutes N` gives them fewer than ten, and the value says so),
// `-- --keep` puts the figures into figures.json. A missed goal is told and ends with 0: the
// machine may be busy. Only a broken run ends with 1, a wrong name with 2.

import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { availableParallelism, cpus, loadavg, release, tmpdir, totalmem, type } from "node:os";
import { join } from "node:path";
import { parseArgs } from "node:util";
import { setFlagsFromString } from "node:v8";
import { projectRoot } from "../../host/cli/root.ts";
import {
	FIGURES_FILE,
	figuresSchema,
	type KeptPart,
	type Machine,
	machineWords,
} from "./kept-figures.ts";
import { type Part, parts } from "./parts.ts";
import { columns, figureCells, figureHead, verdict } from "./table.ts";

// A step of the model is a tree of short functions. V8 makes one piece of code of it if it may, and
// then numbers need no boxes between them: about a fifth of the model's time.
setFlagsFromString("--max-inlined-bytecode-size-cumulative=5000");

const { values, positionals } = parseArgs({
	options: {
		short: { type: "boolean", default: false },
		keep: { type: "boolean", default: false },
		minutes: { type: "string", default: "10" },
	},
	allowPositionals: true,
});
const minutes = Number(values.minutes);
if (!(minutes > 0)) {
	console.error(`--minutes ${values.minutes}; allowed: a number above 0`);
	process.exit(2);
}
const unknown = positionals.filter((name) => parts.every((part) => part.name !== name));
if (unknown.length > 0) {
	const names = parts.map(({ name }) => name).join(", ");
	console.error(`no part ${unknown.join(", ")}; there are ${names}`);
	process.exit(2);
}
const wanted = parts.filter(({ name, isLong }) =>
	positionals.length > 0 ? positionals.includes(name) : !(values.short && isLong),
);

const machine: Machine = {
	processor: cpus()[0]?.model ?? "unknown processor",
	cores: availableParallelism(),
	memoryGib: Number((totalmem() / 2 ** 30).toFixed(1)),
	kernel: `${type()} ${release()}`,
	node: process.version,
};
const loadNow = () => Number((loadavg()[0] ?? 0).toFixed(2));

async function measured({ name, measure }: Part, scratch: string): Promise<KeptPart> {
	const before = loadNow();
	const date = new Date().toISOString().slice(0, 10);
	const { rows, figures } = await measure(projectRoot, scratch, minutes);
	const load = { before, after: loadNow() };
	console.log(`${name}\n${columns(rows)}\n${figures.map(verdict).join("\n")}\n`);
	return { date, machine, load, figures: [...figures] };
}

function keep(found: Readonly<Record<string, KeptPart>>): void {
	const file = join(projectRoot, FIGURES_FILE);
	const before = figuresSchema.parse(JSON.parse(readFileSync(file, "utf8")));
	const both = { ...before, ...found };
	const inOrder = parts.flatMap(({ name }) => {
		const part = both[name];
		return part === undefined ? [] : [[name, part]];
	});
	writeFileSync(file, `${JSON.stringify(Object.fromEntries(inOrder), null, "\t")}\n`);
}

const scratch = mkdtempSync(join(tmpdir(), "lees-bench-"));
const before = loadNow();
console.log(`${machineWords(machine)}; load ${before}\n`);
try {
	const found: Record<string, KeptPart> = {};
	for (const part of wanted) {
		found[part.name] = await measured(part, scratch);
		// After each, so that an interrupted run keeps what it has.
		if (values.keep) keep(found);
	}
	const rows = Object.values(found).flatMap(({ figures }) => figures.map(figureCells));
	console.log(columns([[...figureHead], ...rows]));
	console.log(`\n${machineWords(machine)}; load ${before} before, ${loadNow()} after`);
} finally {
	rmSync(scratch, { recursive: true, force: true });
}
