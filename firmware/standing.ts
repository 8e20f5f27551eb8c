// How the controller stands, as a link or a page shows it: made from its state, nothing decided by
// it. Pure.

import type { Outputs } from "./board/port.ts";
import { isCommissioning } from "./commission/commission.ts";
import type { Rig } from "./config/rig.ts";
import type { ControllerState, TickInputs } from "./controller.ts";
import { stateName } from "./cycle/advance.ts";
import type { Order } from "./cycle/orders.ts";
import { cutTo } from "./frame-text.ts";
import type { Status } from "./link/protocol.ts";
import { dateTimeText, localMs } from "./local-time.ts";

const TRIPS_TOLD = 3;
const PLANS_TOLD = 3;
const CAUSE_BYTES = 60;
const CAUSE_BYTES_OF_MANY = 50;
const PLAN_BYTES = 36;
const ORDER_BYTES = 64;

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
	const name = stateName(value);
	const { schedule } = state;
	const local = localMs(schedule.clock, state.nowMs);
	// The worst trips, in a few words each: the answer must fit a frame. No plan begins meanwhile.
	const open = context.trips.slice(0, TRIPS_TOLD);
	const causeBytes = open.length < TRIPS_TOLD ? CAUSE_BYTES : CAUSE_BYTES_OF_MANY;
	const planned = schedule.planned.slice(0, open.length > 0 ? 1 : PLANS_TOLD);
	return {
		monoMs: state.nowMs,
		state: isCommissioning(state.commission, name) ? "commissioning" : name,
		trips: open.map(({ code, cause }) => ({ code, cause: cutTo(cause, causeBytes) })),
		pumpDemanded: outputs["pump-demand"],
		armed: state.arming && { tank: state.arming.tank },
		heldFor: name === "held" ? [...context.heldFor] : [],
		order: order && goalsOf(order),
		localTime: local === null ? null : dateTimeText(local),
		planned: planned.map(({ id }) => cutTo(id, PLAN_BYTES)),
		waits: open.length > 0 ? null : schedule.waits && waitOf(schedule.waits),
		run: state.totals.run,
		pulsesPerLitre: rig.meter.pulsesPerLitre,
		durableSeq,
		logFailed: failed,
		tickLateMsMax: lateMsMax,
		ticks,
	};
}

function goalsOf({ id, work, tank, toTank, goalLitres, goalHours, goalShare }: Order) {
	return { id: cutTo(id, ORDER_BYTES), work, tank, toTank, goalLitres, goalHours, goalShare };
}

function waitOf({ id, reasons }: { id: string; reasons: readonly string[] }) {
	return { id: cutTo(id, PLAN_BYTES), why: cutTo(reasons[0] ?? "", CAUSE_BYTES) };
}
