// Runs ngspice, the circuit simulator, on a deck and gives back its waveforms on an even grid. The
// deck's text goes into a folder of its own; nothing of a run is left behind.

import { spawnSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

export interface Waves {
	readonly stepS: number;
	/** Samples of each vector asked for, the first at 0 s. */
	readonly of: Readonly<Record<string, readonly number[]>>;
}

export interface Run {
	/** Title, circuit, models; without `.end` and `.control`. */
	readonly circuit: string;
	readonly celsius: number;
	readonly seconds: number;
	readonly stepS: number;
	/** Largest step of the integration, s. */
	readonly mostS?: number;
	/** A name for each vector, such as `res: "v(res)"`. */
	readonly vectors: Readonly<Record<string, string>>;
}

const WAVES = "waves.txt";
/** A run takes a fraction of a second; what hangs is ended. */
const PATIENCE_MS = 60_000;

/** @throws Error with what the simulator said, when it did not come to the end */
export function simulate(run: Run): Waves {
	const folder = mkdtempSync(join(tmpdir(), "lees-spice-"));
	try {
		writeFileSync(join(folder, "deck.cir"), deckOf(run));
		const done = spawnSync("ngspice", ["-b", "deck.cir"], {
			cwd: folder,
			encoding: "utf8",
			timeout: PATIENCE_MS,
			maxBuffer: 1e8,
		});
		if (done.error !== undefined && "code" in done.error && done.error.code === "ENOENT") {
			throw new Error("ngspice is not there: apt-get install ngspice (Debian's package)");
		}
		const said = `${done.stdout}\n${done.stderr}`;
		return wavesOf(run, textOf(join(folder, WAVES)), said);
	} finally {
		rmSync(folder, { recursive: true, force: true });
	}
}

function deckOf({ circuit, celsius, seconds, stepS, mostS, vectors }: Run): string {
	const names = Object.values(vectors).join(" ");
	return `${circuit}
.options temp=${celsius} method=gear reltol=1e-3
.control
set wr_singlescale
tran ${stepS} ${seconds} 0 ${mostS ?? Math.min(20 * stepS, 0.02)}
linearize ${names}
wrdata ${WAVES} ${names}
.endc
.end
`;
}

function textOf(path: string): string {
	try {
		return readFileSync(path, "utf8");
	} catch {
		return "";
	}
}

/** Rows of numbers, time first; one row a step from 0 to the end, or it is no result. */
function wavesOf({ seconds, stepS, vectors }: Run, text: string, said: string): Waves {
	const rows = text
		.split("\n")
		.filter((line) => line.trim() !== "")
		.map((line) => line.trim().split(/\s+/).map(Number));
	const names = Object.keys(vectors);
	const wanted = Math.round(seconds / stepS);
	const isWhole = rows.every(
		(row) => row.length === names.length + 1 && row.every(Number.isFinite),
	);
	if (rows.length < wanted || !isWhole) {
		const tail = said.trim().split("\n").slice(-30).join("\n");
		throw new Error(`ngspice gave ${rows.length} of ${wanted} rows. It said:\n${tail}`);
	}
	const columns = names.map((name, i) => [name, rows.map((row) => row[i + 1] ?? Number.NaN)]);
	return { stepS, of: Object.fromEntries(columns) };
}
