// `lees bench`: plays a scenario and prints its account, or the list of scenarios. Account on
// standard output, complaints on standard error.

import { writeFileSync } from "node:fs";
import { InputError } from "../../firmware/config/input-error.ts";
import type { PinMap } from "../../firmware/config/pins.ts";
import type { Rig } from "../../firmware/config/rig.ts";
import { sumUp } from "../../sim/bench/judge.ts";
import {
	findScenario,
	loadPins,
	loadScenario,
	nameOf,
	shippedScenarios,
} from "../../sim/bench/load.ts";
import { type ModelRun, runScenario } from "../../sim/bench/runner.ts";
import type { Scenario } from "../../sim/bench/scenario.ts";
import type { BenchRun, BoardKind } from "../../sim/bench/session.ts";
import { benchAccount } from "../report/bench-account.ts";
import { EXIT } from "./exit.ts";
import { printMarked } from "./paint.ts";
import { projectRoot } from "./root.ts";
import { parseSets, rigWith, setOf, setWords } from "./set-option.ts";

export interface BenchOptions {
	readonly list?: boolean;
	readonly json?: boolean;
	readonly seed?: number;
	readonly log?: string;
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
	const { name, scenario, rig: shipped } = loadScenario(findScenario(projectRoot, typed));
	const changes = parseSets(options.set);
	const rig = rigWith(shipped, changes);
	const pins = loadPins(projectRoot);
	const began = process.hrtime.bigint();
	const seed = options.seed ?? scenario.seed;
	const run = await runOn(board, scenario, rig, pins, seed);
	const wallSeconds = Number(process.hrtime.bigint() - began) / 1e9;
	const result = sumUp(name, run, wallSeconds);
	if (options.log !== undefined) writeLog(options.log, run);
	if (options.keep !== undefined) {
		const { keepRun } = await import("./keep-run.ts");
		keepRun(options.keep, name, run, pins);
	}
	if (options.json === true) {
		const found = changes.length === 0 ? result : { ...result, set: setOf(changes) };
		process.stdout.write(`${JSON.stringify(found, null, 2)}\n`);
	} else {
		const words = changes.map((change) => setWords(change, [shipped]));
		printMarked(benchAccount(run, result, words));
	}
	return result.expectations.every(({ held }) => held) ? EXIT.good : EXIT.doesNotHold;
}

function boardKind(typed: string): BoardKind {
	if (typed === "model" || typed === "emulated") return typed;
	throw new InputError([{ file: "--board", found: typed, allowed: "model or emulated" }]);
}

async function runOn(
	board: BoardKind,
	scenario: Scenario,
	rig: Rig,
	pins: PinMap,
	seed: number,
): Promise<ModelRun> {
	if (board === "model") return runScenario(scenario, rig, pins, { seed });
	const { runInProcess } = await import("../../sim/emulated-board/process.ts");
	return runInProcess({ scenario, rig, pins, seed });
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
function writeLog(file: string, run: BenchRun): void {
	const text = run.records.map((record) => `${JSON.stringify(record)}\n`).join("");
	try {
		// Nothing that is there is overwritten: it may be the scenario itself.
		writeFileSync(file, text, { flag: "wx" });
	} catch (error) {
		const code = error instanceof Error && "code" in error ? String(error.code) : String(error);
		const found = code === "EEXIST" ? "a file that is there already" : code;
		throw new InputError([{ file, found, allowed: "a new file in a folder that is there" }]);
	}
}
