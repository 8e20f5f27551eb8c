// What the statechart tells while it changes: records in the making, emitted as data. The
// controller numbers them and writes them down.

import type { StartReason } from "./context.ts";
import type { HoldCause } from "./holds.ts";
import type { Order } from "./orders.ts";
import type { Place, TripCode } from "./trips.ts";

export const stateNames = [
	"idle",
	"priming",
	"polishing",
	"standing",
	"resting",
	"held",
	"tripped",
] as const;
export type StateName = (typeof stateNames)[number];
/** As it is told: at rest while a person proves the box it has a name of its own. */
export type StandingName = StateName | "commissioning";

export type Outcome =
	| "finished"
	| "stopped"
	| "could not start"
	| "no longer permitted"
	| `ended by trip: ${TripCode}`;

export type CycleEffect =
	| { readonly type: "run-begin"; readonly order: Order }
	| { readonly type: "run-end"; readonly outcome: Outcome; readonly reasons: readonly string[] }
	| { readonly type: "start"; readonly reason: StartReason }
	| { readonly type: "prime"; readonly primeTry: number; readonly result: "fuel" | "none" }
	/** A burst and its stand have brought no water; so many in a row, of so many. */
	| { readonly type: "burst"; readonly dryBursts: number; readonly of: number }
	| { readonly type: "trip"; readonly code: TripCode; readonly cause: string }
	| {
			readonly type: "acknowledged";
			readonly id: string;
			readonly codes: readonly TripCode[];
			readonly from: Place;
	  }
	| {
			readonly type: "acknowledge-refused";
			readonly id: string;
			readonly reasons: readonly string[];
	  }
	| { readonly type: "drain-seen" }
	| { readonly type: "held"; readonly causes: readonly HoldCause[] }
	| { readonly type: "cleared"; readonly codes: readonly TripCode[] }
	| { readonly type: "order-refused"; readonly id: string; readonly reasons: readonly string[] }
	| {
			readonly type: "state";
			readonly from: StateName;
			readonly to: StateName;
			readonly why: string;
	  };
