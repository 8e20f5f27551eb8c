// Drives the statechart by XState's public transition(): edges and due delays in the order of
// their times, deadline by deadline. Delays that a transition returns are kept here as data, so the
// whole cycle is plain JSON and goes on from any tick after a restore. No actor, no clock.

import { type EventObject, type StateValue, transition } from "xstate";
import { type CycleContext, contextAtBoot } from "./context.ts";
import type { CycleEffect, StateName } from "./effects.ts";
import type { CycleEvent } from "./events.ts";
import type { Statechart } from "./statechart.ts";

/** A delayed event that waits for its time. `event` is the statechart's own. */
export interface Delay {
	readonly id: string;
	readonly dueMs: number;
	readonly event: string;
}

/** What the statechart wants of the outputs in its present state. */
export interface Demand {
	/** K1 closed: to pump, or alone for its proof. */
	readonly k1: boolean;
	/** The dead-man is fed, so that K2 closes. */
	readonly beat: boolean;
	readonly horn: boolean;
	/** The pump's lamp: on from the warning to the end of the run. */
	readonly lamp: boolean;
}

export interface CycleState {
	readonly value: StateValue;
	readonly context: CycleContext;
	readonly delays: readonly Delay[];
	readonly demand: Demand;
}

export interface Told {
	readonly atMs: number;
	readonly effect: CycleEffect;
}

export const cycleAtBoot: CycleState = {
	value: "idle",
	context: contextAtBoot,
	delays: [],
	demand: { k1: false, beat: false, horn: false, lamp: false },
};

/** Chained delays of zero length would never end; no state has any, and this proves it. */
const STEPS_MAX = 10_000;

/**
 * Brings the cycle to `nowMs`.
 * @param events edges of this tick; each at or before `nowMs`
 * @returns the same object when nothing was due, and what the statechart told, in order
 */
export function advance(
	chart: Statechart,
	before: CycleState,
	events: readonly CycleEvent[],
	nowMs: number,
): { cycle: CycleState; told: Told[] } {
	const told: Told[] = [];
	if (events.length === 0 && !before.delays.some((delay) => delay.dueMs <= nowMs)) {
		return { cycle: before, told };
	}
	const waiting = [...events].sort((a, b) => a.atMs - b.atMs);
	let cycle = before;
	for (let steps = 0; steps < STEPS_MAX; steps += 1) {
		const delay = firstDue(cycle.delays, nowMs);
		const edge = waiting[0];
		// At the same instant the edge goes first: it may be the one that stops the pump.
		if (edge !== undefined && (delay === undefined || edge.atMs <= delay.dueMs)) {
			waiting.shift();
			cycle = step(chart, cycle, edge, edge.atMs, told);
		} else if (delay !== undefined) {
			const rest = { ...cycle, delays: cycle.delays.filter((other) => other !== delay) };
			cycle = step(chart, rest, { type: delay.event }, delay.dueMs, told);
		} else {
			return { cycle, told };
		}
	}
	throw new Error("the statechart did not come to rest");
}

function firstDue(delays: readonly Delay[], nowMs: number): Delay | undefined {
	let first: Delay | undefined;
	for (const delay of delays) {
		if (delay.dueMs <= nowMs && (first === undefined || delay.dueMs < first.dueMs)) first = delay;
	}
	return first;
}

function step(
	chart: Statechart,
	cycle: CycleState,
	event: EventObject,
	atMs: number,
	told: Told[],
): CycleState {
	const { value, context } = cycle;
	const snapshot = chart.resolveState({ value, context });
	// A delayed event is the statechart's own and outside CycleEvent; it too carries its time.
	const [next, actions] = transition(chart, snapshot, { ...event, atMs } as CycleEvent);
	let delays = cycle.delays;
	for (const action of actions) {
		const { type, params } = action as { type: string; params: unknown };
		if (type === "xstate.raise") {
			const { event: later, id, delay } = params as RaiseParams;
			delays = [...delays, { id, dueMs: atMs + delay, event: later.type }];
		} else if (type === "xstate.cancel") {
			const { sendId } = params as { sendId: string };
			delays = delays.filter((other) => other.id !== sendId);
		} else if (type === "xstate.emit") {
			told.push({ atMs, effect: (params as { event: CycleEffect }).event });
		}
	}
	const from = stateName(value);
	const to = stateName(next.value);
	if (from !== to)
		told.push({ atMs, effect: { type: "state", from, to, why: reasonOf(event.type) } });
	const demand: Demand = {
		k1: next.hasTag("k1"),
		beat: next.hasTag("beat"),
		horn: next.hasTag("horn"),
		lamp: next.hasTag("lamp"),
	};
	return { value: next.value, context: next.context, delays, demand };
}

/** An edge by its own name; a delay by the name that the statechart gives it. */
function reasonOf(type: string): string {
	return type.startsWith("xstate.after.") ? (type.split(".")[2] ?? type) : type;
}

interface RaiseParams {
	readonly event: { readonly type: string };
	readonly id: string;
	readonly delay: number;
}

/** A start, a run or a rest is under way: neither idle nor tripped. */
export function isAtWork({ value }: CycleState): boolean {
	return typeof value === "object" && "working" in value;
}

/** The trade's name of a state: the parent that only groups the working states is left out. */
export function stateName(value: StateValue): StateName {
	if (typeof value === "string") return value as StateName;
	const { working } = value;
	if (working === undefined) return (Object.keys(value)[0] ?? "idle") as StateName;
	return (typeof working === "string" ? working : Object.keys(working)[0]) as StateName;
}
