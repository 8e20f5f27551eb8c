// Plays a scenario on the emulated board in virtual time: the fake clock, the board's cycles and
// the rig advance together, one millisecond after the other, and johnny-five sees nothing but that
// clock. Fake timers are global, so each run has a process of its own (see child.ts). A run never
// goes back to the event loop before its end: no real timer and nothing from outside can come in
// between, so that a busy machine makes it slower and nothing else.

import FakeTimers from "@sinonjs/fake-timers";
import { SteadyBoard } from "../../firmware/board/steady-board.ts";
import type { PinMap } from "../../firmware/config/pins.ts";
import type { Rig } from "../../firmware/config/rig.ts";
import type { Edge } from "../bench/edges.ts";
import { people } from "../bench/people.ts";
import type { Scenario } from "../bench/scenario.ts";
import {
	type BenchRun,
	type KeptBoot,
	rigAtStart,
	Session,
	TICK_MS,
	type TraceHashes,
} from "../bench/session.ts";
import type { Fault } from "../faults.ts";
import { isSensorFault } from "../sensor-faults.ts";
import { SerialCable } from "./serial-cable.ts";
import { BoardTrace } from "./trace.ts";
import { WiredBoard } from "./wiring.ts";

/** What waits for promises may go on to wait for the process's next tick, and so on: so often. */
const ROUNDS = 4;

/** Lets all that the last millisecond has caused come to its end. */
async function settle(): Promise<void> {
	for (let round = 0; round < ROUNDS; round += 1) {
		await new Promise<void>((resolve) => process.nextTick(resolve));
	}
}

export interface EmulatedRun extends BenchRun {
	/** Time from power-up until the board was ready, ms. */
	readonly bootMs: number;
	/** K2 was closed at some moment of the boot. */
	readonly k2ClosedInBoot: boolean;
	/** Machine cycles that the board executed. */
	readonly cycles: number;
	/** Level changes of the output channels, in order. */
	readonly edges: readonly Edge[];
	readonly hashes: TraceHashes;
	/** Tick inputs of all boots. */
	readonly boots: readonly KeptBoot[];
}

/**
 * @param isWanted asked at each tick, since no event comes in: whether anybody waits for the run
 * @throws Error when nobody does any more, or the board does not answer
 */
export async function runEmulated(
	scenario: Scenario,
	rig: Rig,
	pins: PinMap,
	seed: number,
	traced = false,
	isWanted: () => boolean = () => true,
): Promise<EmulatedRun> {
	const toFake = ["setTimeout", "clearTimeout", "setInterval", "clearInterval", "Date"] as const;
	const clock = FakeTimers.install({ now: 0, toFake: [...toFake] });
	const model = rigAtStart(scenario, rig, seed);
	const wired = new WiredBoard(model, pins, seed);
	const cable = new SerialCable(wired, model, seed);
	const trace = new BoardTrace(wired.board);
	const edges: Array<{ channel: string; high: boolean; boardMs: number }> = [];
	wired.onEdge = (channel, level, boardMs) => {
		edges.push({ channel, high: level === "high", boardMs });
	};
	// A plug that is off at the beginning was off when the board was switched on.
	for (const { fault, size, atSeconds } of scenario.faults) {
		if (atSeconds === 0 && isWiring(fault)) model.breaks(fault, size);
	}
	let k2ClosedInBoot = false;

	const pass = async (ms: number) => {
		for (let i = 0; i < ms; i += 1) {
			wired.runMs();
			cable.watch();
			clock.tick(1);
			await settle();
		}
	};

	let opened = false;
	const open = () => cable.open();
	const { notFitted } = model;
	const opening = SteadyBoard.open({ open, pins, clock: () => wired.nowMs, notFitted }).finally(
		() => {
			opened = true;
		},
	);
	// Its failure is met below, when it is awaited.
	opening.catch(() => {});
	while (!opened) {
		await pass(1);
		k2ClosedInBoot ||= model.k2Closed;
	}
	const board = await opening;
	const bootMs = wired.nowMs;
	// Every input has reported once before the scenario's time begins.
	await pass(4 * TICK_MS);
	model.restartClock();
	const beganMs = wired.nowMs;
	const session = new Session(scenario, rig, pins, model, board, {
		seed,
		traced,
		people: people(),
	});
	wired.onStep = () => session.look();
	while (!session.over) {
		if (!isWanted()) throw new Error("nobody waits for this run any more");
		session.tick();
		await pass(TICK_MS);
		session.afterStep();
	}
	clock.uninstall();
	const { cycles } = wired.board;
	return {
		...session.end("emulated"),
		bootMs,
		k2ClosedInBoot,
		cycles,
		edges: edges.map(({ boardMs, ...edge }) => ({ ...edge, atMs: boardMs - beganMs })),
		hashes: trace.hashes(),
		boots: session.boots,
	};
}

const isWiring = (fault: Fault) => fault === "converter-silent" || isSensorFault(fault);
