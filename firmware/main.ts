// The shell: owns the clock, the board, the store and the links, and runs one tick every 100 ms by
// absolute deadlines. Pump off at the start and at every end that it sees coming.

import { ALL_OFF, type Board, type Outputs } from "./board/port.ts";
import type { PinMap } from "./config/pins.ts";
import type { Rig } from "./config/rig.ts";
import { type ControllerState, createController, type TickInputs } from "./controller.ts";
import { stateName } from "./cycle/advance.ts";
import type { Order } from "./cycle/orders.ts";
import { Decisions } from "./link/decisions.ts";
import type { Status } from "./link/protocol.ts";
import type { LinkHost } from "./link/server.ts";
import { dateTimeText, localMs } from "./local-time.ts";
import type { Logic } from "./log/kept-run.ts";
import { recover } from "./log/recovery.ts";
import { RingKeeper } from "./log/ring.ts";
import type { Store } from "./log/store.ts";
import { wholeReadings } from "./log/tape.ts";
import { EDGELESS_MS_MAX } from "./sense/quantity.ts";

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

export function runController({ rig, pins, board, store, clock, logic }: ControlParts): Running {
	const controller = createController(rig, pins);
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
			// Not to be had yet: commissioning comes with its steps.
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
		status: () => statusOf(rig, state, outputs, store, { ticks, lateMsMax }),
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

function statusOf(
	rig: Rig,
	state: ControllerState,
	outputs: Outputs,
	store: Store,
	{ ticks, lateMsMax }: { ticks: number; lateMsMax: number },
): Status {
	const { context, value } = state.cycle;
	const { order } = context;
	const { schedule } = state;
	const local = localMs(schedule.clock, state.nowMs);
	const { durableSeq, failed } = store.state();
	return {
		monoMs: state.nowMs,
		state: stateName(value),
		// The worst ones, in a few words each: the answer must fit a frame.
		trips: context.trips
			.slice(0, 3)
			.map(({ code, cause }) => ({ code, cause: cause.slice(0, 60) })),
		pumpDemanded: outputs["pump-demand"],
		armed: state.arming && { tank: state.arming.tank },
		heldFor: stateName(value) === "held" ? [...context.heldFor] : [],
		order: order && goalsOf(order),
		localTime: local === null ? null : dateTimeText(local),
		planned: schedule.planned.slice(0, 3).map(({ id }) => id.slice(0, 36)),
		waits: schedule.waits && waitOf(schedule.waits),
		run: state.totals.run,
		pulsesPerLitre: rig.meter.pulsesPerLitre,
		durableSeq,
		logFailed: failed,
		tickLateMsMax: lateMsMax,
		ticks,
	};
}

function goalsOf({ id, work, tank, toTank, goalLitres, goalHours, goalShare }: Order) {
	return { id, work, tank, toTank, goalLitres, goalHours, goalShare };
}

function waitOf({ id, reasons }: { id: string; reasons: readonly string[] }) {
	return { id: id.slice(0, 36), why: (reasons[0] ?? "").slice(0, 60) };
}
