// The shell: owns the clock, the board, the store and the links, and runs one tick every 100 ms by
// absolute deadlines. Pump off at the start and at every end that it sees coming.

import { ALL_OFF, type Board, type Outputs } from "./board/port.ts";
import { planProving } from "./commission/plan.ts";
import { fillList, proofList, proofNow } from "./commission/telling.ts";
import type { PinMap } from "./config/pins.ts";
import type { Rig } from "./config/rig.ts";
import { type ControllerState, createController, type TickInputs } from "./controller.ts";
import { LastLook } from "./last-look.ts";
import { Decisions } from "./link/decisions.ts";
import type { LinkHost } from "./link/server.ts";
import { localMs } from "./local-time.ts";
import type { Logic } from "./log/kept-run.ts";
import { recover } from "./log/recovery.ts";
import { RingKeeper } from "./log/ring.ts";
import type { Store } from "./log/store.ts";
import { wholeReadings } from "./log/tape.ts";
import { EDGELESS_MS_MAX } from "./sense/quantity.ts";
import { statusOf } from "./standing.ts";

export const TICK_MS = 100;

export interface ControlParts {
	readonly rig: Rig;
	readonly pins: PinMap;
	readonly board: Board;
	readonly store: Store;
	/** Monotonic milliseconds, any origin. */
	readonly clock: () => number;
	/** Which program this is, to be kept with what it decides. */
	readonly logic: Logic;
	/** What the link gives away of the rig, and where it shows codes. */
	readonly shown: Pick<LinkHost, "rigText" | "pairing">;
}

/** A controller that runs until it is told to end. */
export interface Running extends LinkHost {
	/** Stops the pump, writes what is left and ends. */
	end(why: string): Promise<void>;
	/** Tells every output to be off, without a tick: for a process that is about to fall. */
	allOff(): void;
	/** Calls this at the end of every tick. */
	everyTick(call: () => void): void;
	/** The board answers and its outputs read back as driven. */
	isBoardProven(): boolean;
}

export function runController({
	rig,
	pins,
	board,
	store,
	clock,
	logic,
	shown,
}: ControlParts): Running {
	const look = new LastLook(rig);
	const controller = createController(rig, pins, look.stages);
	const proving = planProving(rig, pins);
	const decisions = new Decisions(store.history);
	const originMs = clock();
	const booted = controller.boot(0, recover(store.history, rig, store));
	const ring = new RingKeeper(pins, booted.state.boot);
	let state: ControllerState = booted.state;
	let outputs: Outputs = booted.outputs;
	let ticks = 0;
	let lateMsMax = 0;
	/** Number of the next tick by the clock. */
	let deadline = 1;
	let timer: NodeJS.Timeout | undefined;
	const calls: Array<() => void> = [];
	store.begin(state.boot, { rig, pins, logic });
	store.append(booted.records, []);
	board.drive(outputs);

	const tick = (nowMs: number) => {
		const inputs: TickInputs = {
			nowMs,
			readings: wholeReadings(board.read(nowMs)),
			commands: decisions.take(),
			// What is proven stands in the log: nobody may say so from outside.
			commissioned: false,
			log: store.state(),
		};
		const before = state;
		const result = controller.tick(before, inputs);
		state = result.state;
		outputs = result.outputs;
		board.drive(outputs);
		ticks += 1;
		store.append(result.records, ring.keep(before, inputs, result));
		decisions.watch(result.records, inputs.log.durableSeq);
		if (store.failure !== null) decisions.fail(`the log has failed: ${store.failure}`);
	};

	const next = () => {
		const nowMs = Math.round(clock() - originMs);
		lateMsMax = Math.max(lateMsMax, nowMs - deadline * TICK_MS);
		tick(Math.max(nowMs, state.nowMs + 1));
		for (const call of calls) call();
		// A missed deadline is not made up for: the next one is the next whole tick from now.
		deadline = Math.max(deadline, Math.floor((clock() - originMs) / TICK_MS)) + 1;
		timer = setTimeout(next, Math.max(0, originMs + deadline * TICK_MS - clock()));
	};
	timer = setTimeout(next, TICK_MS);

	return {
		storeId: store.storeId,
		boot: state.boot,
		rig: rig.rig,
		...shown,
		status: () => statusOf(rig, state, outputs, store.state(), { ticks, lateMsMax }),
		senses: () => look.senses(state, state.commission.isProven),
		proofs: (from) => {
			const local = localMs(state.schedule.clock, state.nowMs);
			return proofList(proving, state.commission, local, from);
		},
		trialNow: () => proofNow(state.commission, look.sensed, state.nowMs),
		fills: () => fillList(state.commission),
		submit: (command) => decisions.submit(command),
		durableSeq: () => store.state().durableSeq,
		readBatch: (want) => store.batch(want),
		windows: (after) => store.windows(after),
		window: (seq) => store.window(seq),
		readWindow: (want) => store.windowPart(want),
		everyTick: (call) => calls.push(call),
		allOff: () => {
			clearTimeout(timer);
			board.drive(ALL_OFF);
		},
		isBoardProven: () => {
			const { board: proof } = board.read(state.nowMs);
			return proof?.raw === 1 && proof.ageMs <= EDGELESS_MS_MAX;
		},
		end: async (why) => {
			clearTimeout(timer);
			void decisions.submit({ type: "stop", id: why });
			tick(Math.max(Math.round(clock() - originMs), state.nowMs + 1));
			await store.close();
		},
	};
}
