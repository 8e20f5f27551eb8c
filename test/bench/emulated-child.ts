// The process of one timed run of the emulated board: with rig, johnny-five and fake clock, or the
// bare board with the same traffic. Takes a job as its first message, answers with the times. Its
// own process, since the fake clock is global and a second run in one process is warm.

import type { PinMap } from "../../firmware/config/pins.ts";
import type { Rig } from "../../firmware/config/rig.ts";
import type { Scenario } from "../../sim/bench/scenario.ts";
import { AvrBoard, CPU_HZ, CYCLES_PER_MS } from "../../sim/emulated-board/avr-board.ts";
import { runEmulated } from "../../sim/emulated-board/lockstep.ts";
import { RunLoop } from "../../sim/emulated-board/run-loop.ts";
import { PlainLoop } from "./plain-loop.ts";

/** What reached the board's pins and line in one millisecond. */
export interface Traffic {
	readonly ms: number;
	readonly bytes?: readonly number[];
	readonly input?: readonly [pin: number, high: boolean];
}

/**
 * `rig`: the whole run. `record`: the same, and what went to the board is kept. `bare`: the image
 * in avr8js, by avr8js's own loop. `bare, own loop`: the same by the project's.
 */
export type Kind = "rig" | "record" | "bare" | "bare, own loop";

export interface TimedJob {
	readonly kind: Kind;
	readonly scenario: Scenario;
	readonly rig: Rig;
	readonly pins: PinMap;
	/** For the bare ones. */
	readonly traffic: readonly Traffic[];
	readonly lengthMs: number;
}

export interface Timed {
	readonly boardSeconds: number;
	readonly wallSeconds: number;
	/** Of the processor, all threads together. */
	readonly cpuSeconds: number;
	readonly traffic: readonly Traffic[];
}

/** Keeps what any board is given from now on. */
function record(): Traffic[] {
	const kept: Traffic[] = [];
	const levels = new Map<number, boolean>();
	const { receive, setInput } = AvrBoard.prototype;
	const msOf = (board: AvrBoard) => Math.floor(board.cycles / CYCLES_PER_MS);
	AvrBoard.prototype.receive = function (bytes) {
		kept.push({ ms: msOf(this), bytes: [...bytes] });
		receive.call(this, bytes);
	};
	AvrBoard.prototype.setInput = function (pin, high) {
		if (levels.get(pin) !== high) kept.push({ ms: msOf(this), input: [pin, high] });
		levels.set(pin, high);
		setInput.call(this, pin, high);
	};
	return kept;
}

/** @returns cycles */
function runBare({ kind, traffic, lengthMs }: TimedJob): number {
	const Loop = kind === "bare" ? PlainLoop : RunLoop;
	const board = new AvrBoard((cpu) => new Loop(cpu));
	let sent = 0;
	board.onByte = () => {
		sent += 1;
	};
	board.volts = (pin) => 1 + pin / 2;
	board.device = () => ({ read: (register) => register * 16, write: () => {} });
	let next = 0;
	for (let ms = 0; ms < lengthMs; ms += 1) {
		for (let given = traffic[next]; given !== undefined && given.ms <= ms; given = traffic[next]) {
			if (given.bytes !== undefined) board.receive(Uint8Array.from(given.bytes));
			if (given.input !== undefined) board.setInput(...given.input);
			next += 1;
		}
		board.runTo((ms + 1) * CYCLES_PER_MS);
	}
	// A board that says nothing has not been asked: then its time says nothing.
	if (sent < lengthMs / 10) throw new Error(`the bare board sent ${sent} bytes`);
	return board.cycles;
}

async function time(job: TimedJob): Promise<Timed> {
	const { kind, scenario, rig, pins } = job;
	const traffic = kind === "record" ? record() : [];
	const from = process.hrtime.bigint();
	const usedBefore = process.cpuUsage();
	const cycles = kind.startsWith("bare")
		? runBare(job)
		: (await runEmulated(scenario, rig, pins, scenario.seed)).cycles;
	const { user, system } = process.cpuUsage(usedBefore);
	const wallSeconds = Number(process.hrtime.bigint() - from) / 1e9;
	return { boardSeconds: cycles / CPU_HZ, wallSeconds, cpuSeconds: (user + system) / 1e6, traffic };
}

process.once("message", (job: TimedJob) => {
	time(job).then(
		(timed) => process.send?.({ timed }, () => process.exit(0)),
		(error: unknown) => process.send?.({ failure: String(error) }, () => process.exit(1)),
	);
});
