// How the controller stands, as a link or a page shows it: made from its state, nothing decided by
// it. Pure.

import type { Outputs } from "./board/port.ts";
import type { Rig } from "./config/rig.ts";
import type { ControllerState, TickInputs } from "./controller.ts";
import { stateName } from "./cycle/advance.ts";
import type { Order } from "./cycle/orders.ts";
import type { Status } from "./link/protocol.ts";
import { dateTimeText, localMs } from "./local-time.ts";

/** What the shell knows beside the controller's state. */
export interface Ticking {
	readonly ticks: number;
	/** Latest tick of this boot against its time, ms. */
	readonly lateMsMax: number;
}

export function statusOf(
	rig: Rig,
	state: ControllerState,
	outputs: Outputs,
	{ durableSeq, failed }: TickInputs["log"],
	{ ticks, lateMsMax }: Ticking,
): Status {
	const { context, value } = state.cycle;
	const { order } = context;
	const { schedule } = state;
	const local = localMs(schedule.clock, state.nowMs);
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
