// Controller and rig model in one loop at 100 ms: how many times faster than the clock on the wall,
// and where the time goes. The story is a night's clean polish, without a fault. Imports the bench.

import { join } from "node:path";
import { loadPins, loadScenario } from "../../sim/bench/load.ts";
import { type ModelRun, runScenario } from "../../sim/bench/runner.ts";
import type { Scenario } from "../../sim/bench/scenario.ts";
import { type Figure, median } from "./table.ts";
import { type Part, profile } from "./time-profile.ts";

/** Times real time, on one core. */
const GOAL = 20_000;
const ROUNDS = 7;
const TURNOVERS = 2;
const FUNCTIONS_SHOWN = 12;

/** The controller's stages by their names in `STAGES`, and what is around them. */
const PARTS: readonly Part[] = [
	["plant", /^sim\/rig\./],
	["sensors of the model", /^sim\/sensors\./],
	["board of the model", /^sim\/model-board\./],
	["crew and session", /^sim\/bench\//],
	["controller: sense", /^firmware\/sense\/sense\./],
	["controller: find", /^firmware\/sense\/findings\./],
	["controller: takeIn", /^firmware\/intake\./],
	["controller: advance", /^firmware\/cycle\/advance\./],
	["controller: interlock", /^firmware\/interlock\./],
	["controller: addTick", /^firmware\/totals\./],
	["controller: the tick itself", /^firmware\/controller\./],
	["records", /^firmware\/log\/writer\./],
	["tape", /^firmware\/log\/tape\./],
];

interface Loop {
	readonly figure: Figure;
	readonly parts: string[][];
	readonly functions: string[][];
}

/** @throws Error when the night does not end as it must: then its time says nothing */
export async function timeClosedLoop(root: string): Promise<Loop> {
	const file = join(root, "sim/bench/scenarios/clean-polish.bench.yaml");
	const { scenario, rig } = loadScenario(file);
	const pins = loadPins(root);
	const night = nightOf(scenario);
	const play = () => runScenario(night, rig, pins);
	// The first run compiles the code and is not counted.
	const { simulatedSeconds } = checked(play());
	const factors: number[] = [];
	for (let round = 0; round < ROUNDS; round += 1) {
		const from = process.hrtime.bigint();
		play();
		factors.push(simulatedSeconds / (Number(process.hrtime.bigint() - from) / 1e9));
	}
	const shares = await profile(() => {
		for (let round = 0; round < 3; round += 1) play();
	}, PARTS);
	const value = median(factors);
	const tickUs = 1e5 / value;
	const whole = (number: number) => Math.round(number).toLocaleString("en");
	const shown =
		`${whole(value)} times real time (${ROUNDS} × ${(simulatedSeconds / 3_600).toFixed(1)} h, ` +
		`${whole(Math.min(...factors))} to ${whole(Math.max(...factors))})`;
	const goal = `at least ${whole(GOAL)}`;
	const figure = { what: "closed loop", shown, goal, met: value >= GOAL };
	const line = ([name, share]: readonly [string, number]) => [
		name,
		`${(share * 100).toFixed(1)} %`,
		(share * tickUs).toFixed(3),
	];
	const head = ["time", "us/tick"];
	const parts = [["part", ...head], ...shares.byPart.map(line), line(["a tick in all", 1])];
	const most = shares.byFunction.slice(0, FUNCTIONS_SHOWN).map(line);
	return { figure, parts, functions: [["function", ...head], ...most] };
}

/** The shipped clean polish, with more turnovers of the tank. */
function nightOf(scenario: Scenario): Scenario {
	const orders = scenario.orders.map(({ polish, ...order }) =>
		polish === undefined ? order : { ...order, polish: { ...polish, turnovers: TURNOVERS } },
	);
	return { ...scenario, orders };
}

function checked(run: ModelRun): ModelRun {
	const { records, truth } = run;
	const ends = records.flatMap((record) => (record.kind === "run-end" ? [record.outcome] : []));
	if (ends.join() !== "finished") {
		throw new Error(`the night ended ${ends.join()} after ${truth.litresThroughPump} L`);
	}
	return run;
}
