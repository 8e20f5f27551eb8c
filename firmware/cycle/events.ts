// What the statechart can be told, and what it knows of the moment when it is asked to start.
// Events are edges; each carries the time at which it happened.

import type { ProbeValue } from "../sense/bowl-probe.ts";
import type { FindingName } from "../sense/finding-names.ts";
import type { LoopValue } from "../sense/supervised-loop.ts";
import type { Arming } from "./arming.ts";
import type { HoldCause } from "./holds.ts";
import type { Order } from "./orders.ts";
import type { Depths } from "./transfer-room.ts";
import type { Place, TripCode } from "./trips.ts";

/** The conditions of this tick, for decisions that may start the pump. */
export interface Present {
	readonly stop: LoopValue;
	readonly probe: ProbeValue;
	/** Channels that no pump may run without and that say nothing sensible. */
	readonly unknown: readonly string[];
	/** Other fitted channels that say nothing sensible: they stop what nobody attends. */
	readonly unknownOptional: readonly string[];
	/** Names of the findings that are there now. */
	readonly seen: readonly FindingName[];
	/** In words, what of it keeps any start from happening. */
	readonly blockers: readonly string[];
	/** Conditions that make an order wait. */
	readonly holds: readonly HoldCause[];
	/** Those that make only an order wait which nobody attends. */
	readonly quiet: readonly HoldCause[];
	readonly depths: Depths;
	readonly logFailed: boolean;
	readonly commissioned: boolean;
	/** How an unattended plan is armed; null while it is not. */
	readonly arming: Arming | null;
	/** Somebody is at the box: the open order is attended, or there is none. */
	readonly attended: boolean;
	/** What the rig lacks to be left alone. */
	readonly gaps: readonly string[];
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
	/** A protective finding that trips whatever the cycle is doing. */
	| (At & { readonly type: "alarm"; readonly code: TripCode; readonly cause?: string })
	/** One that trips an order at work; some only where nobody attends it. */
	| (At & {
			readonly type: "trouble";
			readonly code: TripCode;
			readonly cause?: string;
			readonly unattendedOnly?: true;
	  })
	/** What makes an order wait has changed; empty when nothing does any more. */
	| (At & { readonly type: "holds"; readonly causes: readonly HoldCause[] })
	| (At & {
			readonly type: "recovered";
			readonly trips: ReadonlyArray<{
				readonly code: TripCode;
				readonly cause: string;
				readonly drainSeen: boolean;
			}>;
			readonly interrupted: boolean;
	  })
	| (At & { readonly type: PlainEvent });

type PlainEvent =
	| "water-gone"
	| "stray-current"
	| "flow-established"
	| "flow-lost"
	| "burst-done"
	| "motor-warm"
	| "motor-cooled"
	| "goal-reached";
