// Plays a scenario on the emulated board in virtual time: the fake clock, the board's cycles and
// the rig advance together, one millisecond after the other, and johnny-five sees nothing but that
// clock. Fake timers are global, so each run has a process of its own (see child.ts).

import FakeTimers from "@sinonjs/fake-timers";
import { SteadyBoard } from "../../firmware/board/steady-board.ts";
import type { PinMap } from "../../firmware/config/pins.ts";
import type { Rig } from "../../firmware/config/rig.ts";
import type { Scenario } from "../bench/scenario.ts";
import { type BenchRun, rigAtStart, Session, TICK_MS } from "../bench/session.ts";
import { SerialCable } from "./serial-cable.ts";
import { WiredBoard } from "./wiring.ts";

const realImmediate = setImmediate;
/** Lets everything that the last millisecond has caused come to its end. */
const settle = () => new Promise<void>((resolve) => realImmediate(resolve));

export interface EmulatedRun extends BenchRun {
	/** Time from power-up until the board was ready, ms. */
	readonly bootMs: number;
	/** K2 was closed at some moment of the boot. */
	readonly k2ClosedInBoot: boolean;
	/** Machine cycles that the board executed. */
	readonly cycles: number;
	/** Level changes of the output pins. */
	readonly edges: number;
}

export async function runEmulated(
	scenario: Scenario,
	rig: Rig,
	pins: PinMap,
	seed: number,
	traced = false,
): Promise<EmulatedRun> {
	const toFake = ["setTimeout", "clearTimeout", "setInterval", "clearInterval", "Date"] as const;
	const clock = FakeTimers.install({ now: 0, toFake: [...toFake] });
	const model = rigAtStart(scenario, rig, seed);
	const wired = new WiredBoard(model, pins, seed);
	const cable = new SerialCable(wired, model, seed);
	let edges = 0;
	wired.onEdge = () => {
		edges += 1;
	};
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
	const session = new Session(scenario, rig, pins, model, board, { seed, traced });
	wired.onStep = () => session.look();
	while (!session.over) {
		session.tick();
		await pass(TICK_MS);
		session.afterStep();
	}
	clock.uninstall();
	const { cycles } = wired.board;
	return { ...session.end("emulated"), bootMs, k2ClosedInBoot, cycles, edges };
}
