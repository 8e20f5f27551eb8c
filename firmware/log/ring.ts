// Keeps the inputs of the last ten minutes of ticks, in batches of a second with the state before
// the first, so that a stop in the night replays exactly. While the controller is at work each
// batch goes to the store as it fills, for an interruption leaves no time; while it is idle they
// stay here and go along with the next trip or order.

import { type PinMap, reportedChannels } from "../config/pins.ts";
import type { ControllerState, TickInputs, TickResult } from "../controller.ts";
import { isAtWork } from "../cycle/advance.ts";
import type { RingBatch } from "./store-worker.ts";
import { Tape } from "./tape.ts";

const TICKS_A_BATCH = 10;
const BATCHES_KEPT = 600;

export class RingKeeper {
	private readonly channels: readonly string[];
	private readonly boot: number;
	private tape: Tape;
	private first: { state: ControllerState; nowMs: number } | null = null;
	private kept: RingBatch[] = [];

	constructor(pins: PinMap, boot: number) {
		this.channels = reportedChannels(pins);
		this.boot = boot;
		this.tape = new Tape(this.channels);
	}

	/** Takes in a tick; returns the batches that are to be stored now. */
	keep(before: ControllerState, inputs: TickInputs, result: TickResult): RingBatch[] {
		this.first ??= { state: before, nowMs: inputs.nowMs };
		this.tape.push(inputs, result.outputs);
		const decisive = result.records.some(({ kind }) => kind === "trip" || kind === "order");
		if (this.tape.length >= TICKS_A_BATCH || decisive) this.seal(inputs.nowMs);
		if (!isAtWork(result.state.cycle) && !decisive) return [];
		const due = this.kept;
		this.kept = [];
		return due;
	}

	private seal(toMs: number): void {
		const { first, tape, boot } = this;
		if (first === null) return;
		const inputs = tape.toJson();
		this.kept.push({ boot, fromMs: first.nowMs, toMs, state: first.state, inputs });
		if (this.kept.length > BATCHES_KEPT) this.kept.shift();
		this.tape = new Tape(this.channels);
		this.first = null;
	}
}
