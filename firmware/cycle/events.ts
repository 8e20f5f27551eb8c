// What the statechart can be told, and what it knows of the moment when it is asked to start.
// Events are edges; each carries the time at which it happened.

import type { ProbeValue } from "../sense/bowl-probe.ts";
import type { LoopValue } from "../sense/supervised-loop.ts";
import type { Order } from "./orders.ts";
import type { Place, TripCode } from "./trips.ts";

/** Channels whose loss stops the pump. */
export type Sensor = "bowl-probe" | "stop-loop" | "flow-pulse" | "motor-current";

/** The conditions of this tick, for decisions that may start the pump. */
export interface Present {
	readonly stop: LoopValue;
	readonly probe: ProbeValue;
	readonly unknown: readonly string[];
	readonly strayCurrent: boolean;
	readonly logFailed: boolean;
	readonly commissioned: boolean;
	readonly armed: boolean;
}

interface At {
	readonly atMs: number;
}

export type CycleEvent =
	| (At & { readonly type: "order"; readonly order: Order; readonly present: Present })
	| (At & {
			readonly type: "acknowledge";
			/** Of the command; the box's button has one of its own. */
			readonly id: string;
			readonly from: Place;
			/** When it was given; it says nothing about trips that came after. */
			readonly pressedMs: number;
			readonly present: Present;
	  })
	/** No tick for longer than the dead-man holds: the pump was off, whatever was demanded. */
	| (At & { readonly type: "tick-gap"; readonly ms: number })
	/** An unattended plan is no longer armed, or the rig no longer commissioned. */
	| (At & { readonly type: "permits-lost"; readonly reasons: readonly string[] })
	| (At & { readonly type: "start-durable"; readonly present: Present })
	| (At & { readonly type: "stop"; readonly by: string })
	| (At & { readonly type: "sensor-lost"; readonly sensor: Sensor; readonly why: string })
	| (At & { readonly type: "board-lost"; readonly why: string })
	| (At & {
			readonly type: "recovered";
			readonly trips: ReadonlyArray<{
				readonly code: TripCode;
				readonly cause: string;
				readonly drainSeen: boolean;
			}>;
			readonly interrupted: boolean;
	  })
	| (At & { readonly type: "veto"; readonly code: TripCode; readonly cause: string })
	| (At & { readonly type: PlainEvent });

type PlainEvent =
	| "stop-pressed"
	| "water-seen"
	| "water-gone"
	| "stray-current"
	| "flow-established"
	| "flow-lost"
	| "goal-reached"
	| "log-failed";
