// `lees bench`: plays a scenario and prints its account, or the list of scenarios. Account on
// standard output, complaints on standard error.

import { InputError } from "../../firmware/config/input-error.ts";
import { sumUp } from "../../sim/bench/judge.ts";
import {
	findScenario,
	loadOwnScenario,
	loadPins,
	loadScenario,
	nameOf,
	shippedScenarios,
} from "../../sim/bench/load.ts";
import { type ModelRun, runScenario } from "../../sim/bench/runner.ts";
import type { BenchRun, BoardKind } from "../../sim/bench/session.ts";
import type { EmulatedJob } from "../../sim/emulated-board/child.ts";
import { benchAccount } from "../report/bench-account.ts";
import { runPlot } from "../report/run-plot.ts";
import { EXIT } from "./exit.ts";
import { refuseExisting, writeNewFile } from "./new-file.ts";
import { printMarked } from "./paint.ts";
import { projectRoot } from "./root.ts";
import { parseSets, rigWith, setOf, setWords } from "./set-option.ts";

export interface BenchOptions {
	readonly list?: boolean;
	readonly json?: boolean;
	readonly seed?: number;
	readonly log?: string;
	readonly plot?: string;
	readonly keep?: string;
	/** Each as `SETPOINT=VALUE`. */
	readonly set: readonly string[];
	readonly board: string;
}

/** @returns the exit status @throws InputError */
export async function bench(typed: string | undefined, options: BenchOptions): Promise<number> {
	if (options.list === true) return list(options.json === true);
	if (typed === undefined) {
		const allowed = "a scenario's path or name, or all; `lees bench --list` shows the names";
		throw new InputError([{ file: "lees bench", found: "no scenario", allowed }]);
	}
	const board = boardKind(options.board);
	if (typed === "all") {
		const { benchAll } = await import("./bench-all.ts");
		return benchAll(board, options);
	}
	refuseExisting([options.log, options.plot, options.keep]);
	const {
		name,
		scenario,
		rig: shipped,
	} = loadOwnScenario(findScenario(projectRoot, typed), projectRoot);
	const changes = parseSets(options.set);
	const rig = rigWith(shipped, changes);
	const pins = loadPins(projectRoot);
	const began = process.hrtime.bigint();
	const seed = options.seed ?? scenario.seed;
	const traced = options.plot !== undefined;
	const run = await runOn(board, { scenario, rig, pins, seed, traced });
	const wallSeconds = Number(process.hrtime.bigint() - began) / 1e9;
	const result = sumUp(name, run, wallSeconds);
	if (options.log !== undefined) writeNewFile(options.log, logText(run));
	if (options.keep !== undefined) {
		const { keepRun } = await import("./keep-run.ts");
		keepRun(options.keep, name, run, pins);
	}
	const words = changes.map((change) => setWords(change, [shipped]));
	if (options.plot !== undefined && run.trace !== null) {
		writeNewFile(options.plot, runPlot(run, result, run.trace, words));
	}
	if (options.json === true) {
		const found = changes.length === 0 ? result : { ...result, set: setOf(changes) };
		process.stdout.write(`${JSON.stringify(found, null, 2)}\n`);
	} else {
		printMarked(benchAccount(run, result, words));
	}
	return result.expectations.every(({ held }) => held) ? EXIT.good : EXIT.doesNotHold;
}

function boardKind(typed: string): BoardKind {
	if (typed === "model" || typed === "emulated") return typed;
	throw new InputError([{ file: "--board", found: typed, allowed: "model or emulated" }]);
}

async function runOn(board: BoardKind, job: EmulatedJob): Promise<ModelRun> {
	const { scenario, rig, pins, ...options } = job;
	if (board === "model") return runScenario(scenario, rig, pins, options);
	const { runInProcess } = await import("../../sim/emulated-board/process.ts");
	return runInProcess(job);
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
