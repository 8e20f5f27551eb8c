// `lees bench`: plays a scenario and prints its account, or the list of scenarios. Account on
// standard output, complaints on standard error.

import { InputError } from "../../firmware/config/input-error.ts";
import { sumUp } from "../../sim/bench/judge.ts";
import {
	findScenario,
	loadPins,
	loadScenario,
	nameOf,
	shippedScenarios,
} from "../../sim/bench/load.ts";
import { runScenario } from "../../sim/bench/runner.ts";
import type { BenchRun } from "../../sim/bench/session.ts";
import type { EmulatedJob } from "../../sim/emulated-board/child.ts";
import { benchAccount } from "../report/bench-account.ts";
import { runPlot } from "../report/run-plot.ts";
import { EXIT } from "./exit.ts";
import { writeNewFile } from "./new-file.ts";
import { printMarked } from "./paint.ts";
import { projectRoot } from "./root.ts";

export interface BenchOptions {
	readonly list?: boolean;
	readonly json?: boolean;
	readonly seed?: number;
	readonly log?: string;
	readonly plot?: string;
	readonly board: string;
}

/** @returns the exit status @throws InputError */
export async function bench(typed: string | undefined, options: BenchOptions): Promise<number> {
	if (options.list === true) return list(options.json === true);
	if (typed === undefined) {
		const allowed = "a scenario's path or name; `lees bench --list` shows the names";
		throw new InputError([{ file: "lees bench", found: "no scenario", allowed }]);
	}
	const { name, scenario, rig } = loadScenario(findScenario(projectRoot, typed));
	const pins = loadPins(projectRoot);
	const began = process.hrtime.bigint();
	const seed = options.seed ?? scenario.seed;
	const traced = options.plot !== undefined;
	const run = await runOn(options.board, { scenario, rig, pins, seed, traced });
	const wallSeconds = Number(process.hrtime.bigint() - began) / 1e9;
	const result = sumUp(name, run, wallSeconds);
	if (options.log !== undefined) writeNewFile(options.log, logText(run));
	if (options.plot !== undefined && run.trace !== null) {
		writeNewFile(options.plot, runPlot(run, result, run.trace));
	}
	if (options.json === true) {
		process.stdout.write(`${JSON.stringify(result, null, 2)}\n`);
	} else {
		printMarked(benchAccount(run, result));
	}
	return result.expectations.every(({ held }) => held) ? EXIT.good : EXIT.doesNotHold;
}

async function runOn(board: string, job: EmulatedJob): Promise<BenchRun> {
	const { scenario, rig, pins, ...options } = job;
	if (board === "model") return runScenario(scenario, rig, pins, options);
	if (board === "emulated") {
		const { runInProcess } = await import("../../sim/emulated-board/process.ts");
		return runInProcess(job);
	}
	throw new InputError([{ file: "--board", found: board, allowed: "model or emulated" }]);
}

function list(json: boolean): number {
	const rows = shippedScenarios(projectRoot).map((file) => ({
		name: nameOf(file),
		title: loadScenario(file).scenario.title,
	}));
	const width = Math.max(...rows.map(({ name }) => name.length));
	const text = json
		? JSON.stringify(rows, null, 2)
		: rows.map(({ name, title }) => `${name.padEnd(width)}  ${title}`).join("\n");
	process.stdout.write(`${text}\n`);
	return EXIT.good;
}

/** The run's records, one JSON object a line. */
const logText = ({ records }: BenchRun): string =>
	records.map((record) => `${JSON.stringify(record)}\n`).join("");
