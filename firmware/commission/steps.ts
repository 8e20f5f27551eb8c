// The steps of commissioning: what a person proves at the rig before it may be left alone, what the
// controller does and measures in each, and what makes a step due again. The controller, the
// command line and the printed page read this one catalogue. Figures are common practice without a
// source unless they say otherwise. Imports types and names only.

import type { OptionalSensor } from "../config/optional-sensors.ts";
import type { TripCode } from "../cycle/trips.ts";
import type { Part } from "./parts.ts";

/** What a person types. Numbers have their unit in the name's end. */
export interface Entry {
	readonly name: string;
	readonly words: string;
	/** Left out: a text of up to 40 characters. */
	readonly number?: { readonly min: number; readonly max: number };
}

/** What is looked at while a person brings a sensor into one state after the other. */
export type Looked = "stop" | "probe" | "tray" | "returnSeat" | "tubeSeat" | "pressureSwitch";

export interface Look {
	readonly say: string;
	/** What the sensor must read, steadily for `LOOK_MS`, before the person goes on. */
	readonly reads: "made" | "broken" | "dry" | "wet";
	/** Name under which its resistance or time is kept as evidence. */
	readonly as: string;
}

/** A quantity at rest: its mean over `MEASURE_MS` is the evidence. */
export type MeasuredName =
	| "vacuumKpa"
	| "bowlTapKpa"
	| "levelFrom"
	| "levelTo"
	| "fuelC"
	| "caseC"
	| "supplyVolts";

/** How a step goes. Each begins with a press of the box's button, but for what is only told. */
export type Proceeding =
	/** A person does it and says what came of it; the limits of the entries decide. */
	| { readonly kind: "told"; readonly entries: readonly Entry[] }
	/** The controller shows each so many times, one to six; the person says how often. */
	| { readonly kind: "count"; readonly shows: ReadonlyArray<"lamp-pump" | "lamp-trip" | "horn"> }
	/** Silent for `QUIET_MS`, then one press within a minute. */
	| { readonly kind: "button" }
	| { readonly kind: "look"; readonly at: Looked; readonly looks: readonly Look[] }
	/** Each mean against its entry, or against 0 where it has none, within `within`. */
	| {
			readonly kind: "measure";
			readonly of: ReadonlyArray<{
				readonly quantity: MeasuredName;
				/** Name of the entry that it is held against; null: against 0. */
				readonly against: string | null;
				/** In the quantity's unit; a level's in share. */
				readonly within: number;
			}>;
			readonly entries: readonly Entry[];
	  }
	/** An attended polish is watched from its order to its end. */
	| { readonly kind: "run"; readonly watches: "prime" | "element" | "siphon" | "amps" }
	/** In an attended polish K2 is opened, by the beat or by hand, and the motor's current timed. */
	| { readonly kind: "cut"; readonly by: "beat" | "hand" }
	/** In an attended polish a person causes the trip. */
	| { readonly kind: "trip"; readonly code: TripCode }
	/** Attended polishes into a measuring can; `fills.ts` judges them. */
	| { readonly kind: "fills" };

/** What the controller needs of a step. */
export interface StepWay {
	readonly goes: Proceeding;
	/** Rigs that lack one of these have no such step. */
	readonly needs: readonly OptionalSensor[];
	/** When one of them is changed the step is due again. */
	readonly parts: readonly Part[];
	/** Keys of the rig file whose figures it has confirmed: another one makes it due again. */
	readonly figures: readonly string[];
	/** It is due again after so many days; null: only after a change. */
	readonly everyDays: number | null;
}

/** What a person needs of it. */
export interface StepWords {
	readonly title: string;
	/** What the person does, sentence by sentence; shown before the step begins. */
	readonly how: string;
	readonly cautions: string;
	/** The proof tests of hardware/hazards.yaml that it is; a test holds the two together. */
	readonly proofTests?: readonly string[];
	/** Hazards of hardware/hazards.yaml that are not covered until it has passed. */
	readonly hazards: readonly string[];
}

export type StepRow = StepWay & Required<StepWords>;

/** Characters of what a person types: initials, a text, a reason. */
export const INITIALS_MAX = 12;
export const TEXT_MAX = 40;
export const WHY_MAX = 80;
/** Steady for so long before a look counts, ms. */
export const LOOK_MS = 2_000;
/** Means are taken over this, ms. */
export const MEASURE_MS = 10_000;
/** The acknowledge button must be silent for so long, ms. */
export const QUIET_MS = 10_000;
/** From the last edge of the beat to no current, ms: the circuit's 1.5 s and two ticks. */
export const RELEASE_MS_MAX = 1_700;
/** From a trip to no current, ms. */
export const OFF_MS_MAX = 2_000;
/** Nobody pressed the box's button to begin: it ends by itself, ms. */
export const PRESS_MS = 2 * 60_000;
/** A step in which nobody does anything ends by itself, ms. */
export const PATIENCE_MS = 15 * 60_000;
