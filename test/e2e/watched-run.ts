// The process of one emulated run that a test watches: what the controller read of some channels
// at each tick is kept, and something of the run may be spoilt on purpose. Answers as the bench's
// own child does, with the readings beside the run. Started by the tests from the built tree.

import { loadFive } from "../../firmware/board/johnny-five.ts";
import type { Reading, Readings } from "../../firmware/board/port.ts";
import { SteadyBoard } from "../../firmware/board/steady-board.ts";
import { AvrBoard } from "../../sim/emulated-board/avr-board.ts";
import type { EmulatedJob } from "../../sim/emulated-board/child.ts";
import { type EmulatedRun, runEmulated } from "../../sim/emulated-board/lockstep.ts";

/**
 * `clock`: every fifth message waits for the wall's clock, as if something of the emulation went by
 * it. `deaf`: the board's warnings about answers that are none are not heard.
 */
export type Spoil = "nothing" | "clock" | "deaf";

export interface WatchedJob extends EmulatedJob {
	readonly spoil: Spoil;
	/** Channels whose readings are kept. */
	readonly channels: readonly string[];
}

export interface WatchedRun {
	readonly run: EmulatedRun;
	/** Tick by tick, in the order of the channels; null where nothing was ever reported. */
	readonly readings: ReadonlyArray<ReadonlyArray<Reading | null>>;
	/** Warnings that the board sent. */
	readonly warnings: number;
}

const WAIT_MS = 1;

function waitForTheClock(): void {
	const { receive, runTo } = AvrBoard.prototype;
	let held: { bytes: Uint8Array; untilMs: number }[] = [];
	let count = 0;
	AvrBoard.prototype.receive = function (bytes) {
		count += 1;
		const untilMs = performance.now() + (count % 5 === 0 ? WAIT_MS : 0);
		// What comes after it must not overtake it.
		if (held.length > 0 || count % 5 === 0) held.push({ bytes, untilMs });
		else receive.call(this, bytes);
	};
	AvrBoard.prototype.runTo = function (cycle) {
		const nowMs = performance.now();
		const due = held.findIndex(({ untilMs }) => untilMs > nowMs);
		const ready = due < 0 ? held : held.slice(0, due);
		held = due < 0 ? [] : held.slice(due);
		for (const { bytes } of ready) receive.call(this, bytes);
		runTo.call(this, cycle);
	};
}

/** @returns how many warnings came */
function listenToWarnings(isDeaf: boolean): () => number {
	const { Firmata } = loadFive();
	const { emit } = Firmata.prototype;
	let warnings = 0;
	Firmata.prototype.emit = function (name: string | symbol, ...what: unknown[]) {
		const isWarning = name === "string" && String(what[0]).includes("Too few bytes");
		if (isWarning) warnings += 1;
		return isWarning && isDeaf ? false : emit.call(this, name, ...what);
	};
	return () => warnings;
}

function keepReadings(channels: readonly string[]): Array<Array<Reading | null>> {
	const kept: Array<Array<Reading | null>> = [];
	const { read } = SteadyBoard.prototype;
	SteadyBoard.prototype.read = function (): Readings {
		const readings = read.call(this);
		kept.push(channels.map((name) => readings[name] ?? null));
		return readings;
	};
	return kept;
}

process.once("message", (job: WatchedJob) => {
	const { scenario, rig, pins, seed, spoil, channels } = job;
	if (spoil === "clock") waitForTheClock();
	const warnings = listenToWarnings(spoil === "deaf");
	const readings = keepReadings(channels);
	runEmulated(scenario, rig, pins, seed).then(
		(run) =>
			process.send?.({ run: { run, readings, warnings: warnings() } }, () => process.exit(0)),
		(error: unknown) => process.send?.({ failure: String(error) }, () => process.exit(1)),
	);
});
