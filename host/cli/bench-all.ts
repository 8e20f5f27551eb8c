// `lees bench all`: every scenario that comes with the project, on all cores, as a table; with
// `--set` each of them twice, and what the change does. Progress on a terminal's standard error.

import { InputError } from "../../firmware/config/input-error.ts";
import type { BenchResult } from "../../sim/bench/judge.ts";
import { loadPins, loadScenario, shippedScenarios } from "../../sim/bench/load.ts";
import type { BoardKind } from "../../sim/bench/session.ts";
import { isShort, SHORT_SECONDS } from "../../sim/emulated-board/short-runs.ts";
import { changeAccount } from "../report/change-account.ts";
import { type Comparison, compare } from "../report/comparison.ts";
import { isBroken, type LeftOut, libraryAccount, libraryHead } from "../report/library-account.ts";
import type { BenchOptions } from "./bench.ts";
import { EXIT } from "./exit.ts";
import { longestFirst, playAll } from "./library-play.ts";
import { printMarked } from "./paint.ts";
import type { Play } from "./play.ts";
import { PlayProgress } from "./play-progress.ts";
import { projectRoot } from "./root.ts";
import { parseSets, rigWith, type SetpointChange, setOf, setText, setWords } from "./set-option.ts";

/** As `--json` prints it. */
interface LibraryResult {
	readonly board: BoardKind;
	/** One for all; null where each scenario has its own. */
	readonly seed: number | null;
	readonly expectations: { readonly held: number; readonly of: number };
	readonly simulatedSeconds: number;
	readonly wallSeconds: number;
	/** By name; with `set`, as they are with the change. */
	readonly scenarios: readonly BenchResult[];
	readonly leftOut: readonly LeftOut[];
	readonly set?: Readonly<Record<string, number>>;
	readonly asShipped?: readonly BenchResult[];
	readonly comparison?: readonly Comparison[];
}

/** @returns the exit status: 1 when an expectation does not hold @throws InputError */
export async function benchAll(board: BoardKind, options: BenchOptions): Promise<number> {
	refuseSingle(options);
	const changes = parseSets(options.set);
	const loaded = shippedScenarios(projectRoot).map(loadScenario);
	const isFit = ({ scenario }: Play) => board === "model" || isShort(scenario);
	const all = loaded.map((one): Play => ({ ...one, seed: options.seed ?? one.scenario.seed }));
	const shipped = all.filter(isFit);
	const leftOut = all.filter((play) => !isFit(play)).map(whyLeftOut);
	const changed = shipped.map((play) => ({ ...play, rig: rigWith(play.rig, changes) }));

	const isText = options.json !== true;
	const rigs = shipped.map(({ rig }) => rig);
	const words = changes.map((change) => setWords(change, rigs));
	const seed = options.seed ?? null;
	if (isText) {
		printMarked(libraryHead({ board, seed, number: shipped.length, changes: words }));
	}
	const isTwice = changes.length > 0;
	const plays = isTwice ? [...changed, ...shipped] : changed;
	const progress = new PlayProgress(plays.length);
	const played = await play(plays, board, progress);
	progress.close();
	const results = played.slice(0, shipped.length);
	const asShipped = played.slice(shipped.length);
	const comparison = asShipped.map((was, i) => compare(was, results[i] ?? was));

	const again = commandFor(board, options.seed, changes);
	if (!isText) {
		const found = {
			...libraryResult(board, seed, results, leftOut, progress.wallSeconds),
			...(isTwice ? { set: setOf(changes), asShipped, comparison } : {}),
		};
		process.stdout.write(`${JSON.stringify(found, null, 2)}\n`);
	} else if (isTwice) printMarked(changeAccount(comparison, leftOut, again));
	else printMarked(libraryAccount(results, leftOut, again));
	return results.some(isBroken) ? EXIT.doesNotHold : EXIT.good;
}

/** Each makes a file of one run. */
const OF_ONE_RUN = ["log", "plot", "keep"] as const;

function refuseSingle(options: Partial<Record<(typeof OF_ONE_RUN)[number], string>>): void {
	for (const name of OF_ONE_RUN) {
		const found = options[name];
		if (found === undefined) continue;
		const allowed = "only with a single scenario";
		throw new InputError([{ file: `--${name}`, found, allowed }]);
	}
}

async function play(
	plays: readonly Play[],
	board: BoardKind,
	progress: PlayProgress,
): Promise<BenchResult[]> {
	const order = longestFirst(plays);
	const played = await playAll(order, {
		board,
		pins: loadPins(projectRoot),
		onBegin: ({ name }) => progress.begin(name),
		onAnswer: ({ result }, { name }) => progress.end(name, result),
	});
	const results = new Map(order.map((one, i) => [one, played[i]?.result]));
	return plays.flatMap((one) => results.get(one) ?? []);
}

function whyLeftOut({ name, scenario: { hoursMax } }: Play): LeftOut {
	return { name, hoursMax, why: `may take longer than ${SHORT_SECONDS} s` };
}

function libraryResult(
	board: BoardKind,
	seed: number | null,
	scenarios: readonly BenchResult[],
	leftOut: readonly LeftOut[],
	wallSeconds: number,
): LibraryResult {
	const verdicts = scenarios.flatMap(({ expectations }) => expectations);
	return {
		board,
		seed,
		expectations: { held: verdicts.filter(({ held }) => held).length, of: verdicts.length },
		simulatedSeconds: scenarios.reduce((sum, one) => sum + one.simulatedSeconds, 0),
		wallSeconds,
		scenarios,
		leftOut,
	};
}

/** The command that tells the story of one scenario as it was played here. */
function commandFor(
	board: BoardKind,
	seed: number | undefined,
	changes: readonly SetpointChange[],
): (name: string) => string {
	const rest = [
		...(board === "model" ? [] : ["--board", board]),
		...(seed === undefined ? [] : ["--seed", String(seed)]),
		...changes.flatMap((change) => ["--set", setText(change)]),
	];
	return (name) => ["lees bench", name, ...rest].join(" ");
}
