// The emulated board against real time, and against the bare emulator: the same image in avr8js by
// its own loop, with the same bytes and pulses sent to it, ADC and I2C that answer at once, and no
// rig, controller, johnny-five or fake clock. In turns, each run a process of its own; the middle
// one of each kind counts. By the processor's time, so that a busy machine tells the same as a free
// core.

import { fork } from "node:child_process";
import { loadPins, loadScenario } from "../../sim/bench/load.ts";
import type { Kind, Timed, TimedJob, Traffic } from "./emulated-child.ts";
import { type Figure, median } from "./table.ts";

const TIMES_REAL_TIME_GOAL = 4;
const SHARE_GOAL = 0.8;
const ROUNDS = 5;
/** Boot, the proofs of both contacts, and the pump's first seconds. */
const STORY_S = 25;
const KINDS: readonly Kind[] = ["rig", "bare", "bare, own loop"];
const NAMES: Readonly<Record<Kind, string>> = {
	rig: "rig and controller on the emulated board",
	record: "",
	bare: "the bare emulator, its own loop",
	"bare, own loop": "the bare emulator, the project's loop",
};

export interface EmulatedSpeed {
	readonly rows: string[][];
	readonly figures: readonly Figure[];
}

/** @throws Error when a run fails */
export async function timeEmulated(root: string): Promise<EmulatedSpeed> {
	const loaded = loadScenario(`${root}/sim/bench/scenarios/water-under-the-tube.bench.yaml`);
	const scenario = { ...loaded.scenario, hoursMax: STORY_S / 3_600 };
	const pins = loadPins(root);
	const run = (kind: Kind, traffic: readonly Traffic[] = [], lengthMs = 0) =>
		inProcess({ kind, scenario, rig: loaded.rig, pins, traffic, lengthMs });
	const recorded = await run("record");
	const lengthMs = Math.round(recorded.boardSeconds * 1_000);
	const times = new Map<Kind, Timed[]>(KINDS.map((kind) => [kind, []]));
	for (let round = 0; round < ROUNDS; round += 1) {
		for (const kind of KINDS) {
			const traffic = kind === "rig" ? [] : recorded.traffic;
			times.get(kind)?.push(await run(kind, traffic, lengthMs));
		}
	}
	const factor = (kind: Kind, of: (timed: Timed) => number) =>
		median((times.get(kind) ?? []).map((timed) => timed.boardSeconds / of(timed)));
	const byCpu = (kind: Kind) => factor(kind, ({ cpuSeconds }) => cpuSeconds);
	const rows = [
		["emulated board, times real time", "processor", "wall"],
		...KINDS.map((kind) => [
			NAMES[kind],
			byCpu(kind).toFixed(2),
			factor(kind, ({ wallSeconds }) => wallSeconds).toFixed(2),
		]),
	];
	const timesReal = byCpu("rig");
	const share = timesReal / byCpu("bare");
	const ofOwn = timesReal / byCpu("bare, own loop");
	return {
		rows,
		figures: [
			{
				what: "emulated board",
				shown: `${timesReal.toFixed(2)} times real time (${ROUNDS} × ${lengthMs / 1_000} s)`,
				goal: `at least ${TIMES_REAL_TIME_GOAL.toFixed(1)}`,
				met: timesReal >= TIMES_REAL_TIME_GOAL,
			},
			{
				what: "emulated board beside the bare emulator",
				shown: `${share.toFixed(2)} (${ofOwn.toFixed(2)} of it with the project's loop)`,
				goal: `at least ${SHARE_GOAL.toFixed(1)}`,
				met: share >= SHARE_GOAL,
				peer: `${byCpu("bare").toFixed(2)} times real time, bare avr8js`,
				ratio: share,
			},
		],
	};
}

type Answer = { readonly timed: Timed } | { readonly failure: string };

function inProcess(job: TimedJob): Promise<Timed> {
	return new Promise((resolve, reject) => {
		const child = fork(new URL("emulated-child.js", import.meta.url));
		child.once("message", (answer: Answer) => {
			if ("timed" in answer) resolve(answer.timed);
			else reject(new Error(answer.failure));
		});
		child.once("exit", (code) => reject(new Error(`the timed run ended with ${code}`)));
		child.send(job);
	});
}
