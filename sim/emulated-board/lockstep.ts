// Plays a scenario on the emulated board in virtual time: the fake clock, the board's cycles and
// the rig advance together, one millisecond after the other, and johnny-five sees nothing but that
// clock. Fake timers are global, so each run has a process of its own (see child.ts).

import { EventEmitter } from "node:events";
import FakeTimers from "@sinonjs/fake-timers";
import { openFirmataBoard } from "../../firmware/board/firmata.ts";
import type { Transport } from "../../firmware/board/johnny-five.ts";
import type { PinMap } from "../../firmware/config/pins.ts";
import type { Rig } from "../../firmware/config/rig.ts";
import type { Scenario } from "../bench/scenario.ts";
import { type BenchRun, type KeptBoot, rigAtStart, Session, TICK_MS } from "../bench/session.ts";
import type { AvrBoard } from "./avr-board.ts";
import { WiredBoard } from "./wiring.ts";

const realImmediate = setImmediate;
/** Lets everything that the last millisecond has caused come to its end. */
const settle = () => new Promise<void>((resolve) => realImmediate(resolve));

/** The board's serial line as a transport: bytes go over at once, the board's own speed follows. */
class DirectLine extends EventEmitter implements Transport {
	private readonly board: AvrBoard;

	constructor(board: AvrBoard) {
		super();
		this.board = board;
		board.onByte = (byte) => this.emit("data", Buffer.from([byte]));
	}

	write(bytes: Buffer, done?: () => void): boolean {
		this.board.receive(bytes);
		done?.();
		return true;
	}
}

export interface EmulatedRun extends BenchRun {
	/** Time from power-up until the board was ready, ms. */
	readonly bootMs: number;
	/** K2 was closed at some moment of the boot. */
	readonly k2ClosedInBoot: boolean;
	/** Machine cycles that the board executed. */
	readonly cycles: number;
	/** Level changes of the output pins. */
	readonly edges: number;
	/** Tick inputs of all boots. */
	readonly boots: readonly KeptBoot[];
}

export async function runEmulated(
	scenario: Scenario,
	rig: Rig,
	pins: PinMap,
	seed: number,
): Promise<EmulatedRun> {
	const toFake = ["setTimeout", "clearTimeout", "setInterval", "clearInterval", "Date"] as const;
	const clock = FakeTimers.install({ now: 0, toFake: [...toFake] });
	const model = rigAtStart(scenario, rig, seed);
	const wired = new WiredBoard(model, pins, seed);
	const line = new DirectLine(wired.board);
	let edges = 0;
	wired.onEdge = () => {
		edges += 1;
	};
	let k2ClosedInBoot = false;

	const pass = async (ms: number) => {
		for (let i = 0; i < ms; i += 1) {
			wired.runMs();
			clock.tick(1);
			await settle();
		}
	};

	let opened = false;
	const opening = openFirmataBoard(line, pins, () => wired.nowMs, model.notFitted).finally(() => {
		opened = true;
	});
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
	const session = new Session(scenario, rig, pins, model, board, { seed });
	while (!session.over) {
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
		edges,
		boots: session.boots,
	};
}
