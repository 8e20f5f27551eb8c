// A step under way: what a trial keeps, sees in a tick and wants of it. One file a kind beside this
// one says how it goes; kinds.ts finds it. A trial never closes a contact: it may light lamps and
// sound the horn at rest, and hold the beat still in a run that a person has ordered. Pure JSON.

import type { Readings } from "../board/port.ts";
import type { CycleState } from "../cycle/advance.ts";
import type { StateName } from "../cycle/effects.ts";
import type { CycleEvent } from "../cycle/events.ts";
import type { Order } from "../cycle/orders.ts";
import type { ProbeState } from "../sense/bowl-probe.ts";
import type { Quantity } from "../sense/quantity.ts";
import type { Sensed } from "../sense/sensed.ts";
import type { Fill } from "./evidence.ts";
import type { ProvingPlan } from "./plan.ts";
import type { asks } from "./schemas.ts";
import type { Step } from "./step-ways.ts";
import type { Entry, Proceeding } from "./steps.ts";

export type Values = Readonly<Record<string, number | string>>;
export type Asks = (typeof asks)[number];

export interface Trial<Work = unknown> {
	/** Of the command that began it. */
	readonly id: string;
	readonly step: Step;
	readonly by: string;
	/** Local time when it was begun. */
	readonly localTime: string;
	/** When somebody last did something. */
	readonly activeMs: number;
	/** What its kind keeps; null until the box's button is pressed. */
	readonly work: Work | null;
}

/** What a trial sees of a tick: the cycle as the last tick left it, and this tick's senses. */
export interface Scene {
	readonly plan: ProvingPlan;
	readonly nowMs: number;
	/** Of the last tick, in which the beat changed last. */
	readonly beforeMs: number;
	readonly cycle: CycleState;
	readonly name: StateName;
	/** K1 closed and the beat kept, by the last tick. */
	readonly motorOn: boolean;
	readonly sensed: Sensed;
	readonly readings: Readings;
	/** As the probe was driven when these readings were taken. */
	readonly probe: ProbeState;
	/** The box's button was let go. */
	readonly pressed: boolean;
	readonly fills: readonly Fill[];
	/** How often something was shown last: the next one differs. */
	readonly shown: number;
}

export interface End {
	readonly passed: boolean;
	readonly reasons: readonly string[];
	readonly values: Values;
	/** What it was given up for, and nothing found out. */
	readonly gaveUp?: "trip" | "order";
}

/** What a trial makes of a tick. */
export interface Move<Work> {
	readonly work: Work;
	/** Somebody did something. */
	readonly isActive?: boolean;
	readonly shows?: "lamp-pump" | "lamp-trip" | "horn";
	readonly shown?: number;
	/** The beat is held still from this tick until the run has ended. */
	readonly holdsBeat?: boolean;
	readonly event?: CycleEvent;
	readonly fill?: Omit<Fill, "seq" | "struck" | "used">;
	readonly end?: End;
}

/** What a kind of step does. `goes` is the catalogue's. */
export interface Kind<Goes extends Proceeding, Work> {
	begin(goes: Goes, scene: Scene): Work;
	advance(goes: Goes, work: Work, scene: Scene, step: Step): Move<Work>;
	/** Values of the person, of whom `entries` are; never called while nothing is asked. */
	answer?(goes: Goes, work: Work, values: Values, scene: Scene): Move<Work>;
	asks(goes: Goes, work: Work): Asks;
	say(goes: Goes, work: Work): string;
	entries(goes: Goes): readonly Entry[];
	/** What is read just now, for who looks on. */
	seen(goes: Goes, work: Work, sensed: Sensed): Values;
	/**
	 * Whether it has come so far that the rig could show itself. Given up from then on it has failed:
	 * who presses a stop button that does not cut will not stay to the end of the step.
	 */
	isTried(goes: Goes, work: Work): boolean;
	/** An order at work is waited for, however long it takes. */
	readonly waitsForRun?: true;
}

export const failed = (reasons: readonly string[], values: Values = {}): End => ({
	passed: false,
	reasons,
	values,
});

/** Passed where nothing stands against it. */
export const judged = (reasons: readonly string[], values: Values): End => ({
	passed: reasons.length === 0,
	reasons,
	values,
});

export const gaveUp = (why: "trip" | "order", reason: string): End => ({
	...failed([reason]),
	gaveUp: why,
});

export const rounded = (value: number, digits: number): number => Number(value.toFixed(digits)) + 0;

/** A quantity as evidence: a number of so many digits, or why there is none. */
export const shownOf = (value: Quantity, digits: number): number | string =>
	typeof value === "number" ? rounded(value, digits) : value;

/** The middle one; null of none. */
export function medianOf(values: readonly number[]): number | null {
	if (values.length === 0) return null;
	const sorted = values.toSorted((a, b) => a - b);
	const middle = sorted.length >> 1;
	const upper = sorted[middle] ?? 0;
	return sorted.length % 2 === 1 ? upper : (upper + (sorted[middle - 1] ?? 0)) / 2;
}

/** What a trial of a run follows: the order that the person gives for it. */
export type Run =
	| { readonly is: "awaited" }
	| { readonly is: "begun" | "at work" | "over"; readonly id: string }
	| { readonly is: "wrong" };

/** @param id of the order that it follows; null before it */
export function runOf(id: string | null, { cycle }: Pick<Scene, "cycle">): Run {
	const order: Order | null = cycle.context.order;
	if (id !== null) return { is: order?.id === id ? "at work" : "over", id };
	if (order === null) return { is: "awaited" };
	const isFit = order.attended && order.work === "polish";
	return isFit ? { is: "begun", id: order.id } : { is: "wrong" };
}

export const WRONG_ORDER: End = gaveUp("order", "the order was no attended polish");

/** What ended a run, in words: its worst trip, or that it was over. */
export function endOfRun({ cycle }: Pick<Scene, "cycle">): string {
	const [worst] = cycle.context.trips;
	return worst === undefined ? "the run was over before it" : `tripped: ${worst.code}`;
}
