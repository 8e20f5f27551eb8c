// Orders, acknowledgements and the log's answers on their way to the statechart. What may turn the
// pump on is written down first and waits here until its record is durable; a stop goes straight
// through. Pure.

import type { Rig } from "./config/rig.ts";
import { armingBlockers } from "./cycle/arming.ts";
import { type Command, workOf } from "./cycle/commands.ts";
import type { StandingName } from "./cycle/effects.ts";
import type { CycleEvent, Present } from "./cycle/events.ts";
import type { Work } from "./cycle/order-schemas.ts";
import { type Order, orderFrom, refusals } from "./cycle/orders.ts";
import type { Place } from "./cycle/trips.ts";
import type { RecordBody } from "./log/record.ts";
import type { FindingsPlan, FindingsState, Found } from "./sense/findings.ts";
import { type Permits, presentOf } from "./sense/present.ts";
import type { Sensed } from "./sense/sensed.ts";

/** What the record store has said of itself. */
export interface LogState {
	/** Every record up to this number survives a power cut. */
	readonly durableSeq: number;
	/** For how long the oldest record that is not yet durable has waited, ms; 0 when none waits. */
	readonly ageMs: number;
	readonly failed: boolean;
}

export type Wish =
	| { readonly type: "order"; readonly order: Order }
	| {
			readonly type: "acknowledge";
			readonly id: string;
			readonly from: Place;
			readonly pressedMs: number;
	  }
	| { readonly type: "start" };

/** A wish that waits for record `seq` to be durable. */
export interface Waiting {
	readonly seq: number;
	readonly sinceMs: number;
	readonly wish: Wish;
}

/** What one tick's intake decides: records to write, and wishes tied to some of them. */
export interface Intake {
	readonly events: readonly CycleEvent[];
	readonly waiting: readonly Waiting[];
	readonly bodies: ReadonlyArray<Entry>;
	/** Somebody at the box has armed the plan just now. */
	readonly armed: boolean;
}

/** A record to be written, and what waits for it. */
export interface Entry {
	readonly body: RecordBody;
	wish?: Wish;
}

export interface IntakeInputs {
	readonly nowMs: number;
	/** The trade's name of the state that the controller is in. */
	readonly state: StandingName;
	readonly waiting: readonly Waiting[];
	readonly commands: readonly Command[];
	readonly button: Found["button"];
	readonly log: LogState;
	/** The conditions of this tick, for whatever asks to start the pump. */
	readonly sensed: Sensed;
	readonly findings: FindingsState;
	readonly permits: Permits;
}

const NOTHING: Intake = { events: [], waiting: [], bodies: [], armed: false };

export function takeIn(plan: FindingsPlan, inputs: IntakeInputs): Intake {
	const { waiting, commands, button } = inputs;
	// Most ticks: nobody asks and nothing waits.
	if (waiting.length === 0 && commands.length === 0 && button === null) return NOTHING;
	return takeInAll(plan, inputs);
}

function takeInAll(plan: FindingsPlan, inputs: IntakeInputs): Intake {
	const { rig } = plan;
	const { nowMs, state, commands, log } = inputs;
	const patienceMs = rig.setpoints.recordPatienceMs;
	const present = () => presentOf(plan, inputs.sensed, inputs.findings, inputs.permits);
	const events: CycleEvent[] = [];
	const bodies: Entry[] = [];
	let waiting = inputs.waiting;
	const acknowledge = (id: string, from: Place) => {
		// What was pressed before a trip says nothing about it.
		const reasons = ["no trip is open"];
		if (state !== "tripped") bodies.push({ body: { kind: "acknowledge-refused", id, reasons } });
		else bodies.push(acknowledgement(id, from, nowMs));
	};

	for (const command of commands) {
		const work = workOf(command);
		if (work !== null) bodies.push(asked(command.id, work, rig, state, present()));
		switch (command.type) {
			case "stop":
				events.push({ type: "stop", atMs: nowMs, by: command.id });
				bodies.push({ body: { kind: "stop", by: command.id } });
				// Whoever stops means what has been asked for and not begun, too.
				bodies.push(...takenBack(waiting.map(({ wish }) => wish)));
				bodies.push(...takenBack(bodies.map(({ wish }) => wish)));
				waiting = waiting.filter(({ wish }) => wish.type === "acknowledge");
				for (const entry of bodies) if (entry.wish?.type === "order") delete entry.wish;
				break;
			case "acknowledge":
				acknowledge(command.id, "link");
				break;
			case "note-drained":
				bodies.push({ body: { kind: "drained", id: command.id, waterMl: command.waterMl } });
				break;
		}
	}
	const armed = inputs.button === "held" && arm(bodies, state, present());
	// While an attended order is at work a press says that somebody is there, and no more.
	const isShort = inputs.button === "pressed" && (state === "idle" || !inputs.permits.attended);
	if (isShort || (inputs.button !== null && state === "tripped")) acknowledge(BOX_BUTTON, "box");

	// A wish whose record takes too long is given up: nobody expects it any more.
	if (waiting.some(({ sinceMs }) => nowMs - sinceMs > patienceMs)) {
		for (const { sinceMs, wish } of waiting) {
			if (nowMs - sinceMs > patienceMs) bodies.push(...givenUp(wish));
		}
		waiting = waiting.filter(({ sinceMs }) => nowMs - sinceMs <= patienceMs);
	}

	if (waiting.some(({ seq }) => seq <= log.durableSeq)) {
		for (const { seq, wish } of waiting) {
			if (seq <= log.durableSeq) events.push(granted(wish, present(), nowMs));
		}
		waiting = waiting.filter(({ seq }) => seq > log.durableSeq);
	}
	return { events, waiting, bodies, armed };
}

/** An order to be written down, or its refusal. */
function asked(id: string, work: Work, rig: Rig, state: StandingName, present: Present): Entry {
	const reasons = refusals(work, rig, state, present);
	if (reasons.length > 0) return { body: { kind: "order-refused", id, reasons } };
	const order = orderFrom(id, work, rig);
	return { body: { kind: "order", order }, wish: { type: "order", order } };
}

/** The set-up check of somebody who holds the button: at rest only. */
function arm(bodies: Entry[], state: StandingName, present: Present): boolean {
	const isAtRest = state === "idle" || state === "tripped";
	const reasons = isAtRest ? armingBlockers(present) : [`the controller is ${state}`];
	if (reasons.length > 0) bodies.push({ body: { kind: "arming-refused", reasons } });
	else bodies.push({ body: { kind: "armed", by: BOX_BUTTON } });
	return reasons.length === 0;
}

/** Names the box's own button where a command has its id. */
const BOX_BUTTON = "box-button";

function acknowledgement(id: string, from: Place, pressedMs: number) {
	const wish = { type: "acknowledge", id, from, pressedMs } as const;
	return { body: { kind: "acknowledge", id, from } as const, wish };
}

/** Refusals of the orders among wishes that a stop has taken back. */
function takenBack(wishes: ReadonlyArray<Wish | undefined>): Array<{ body: RecordBody }> {
	const reasons = ["a stop came after it"];
	return wishes.flatMap((wish) =>
		wish?.type === "order"
			? [{ body: { kind: "order-refused" as const, id: wish.order.id, reasons } }]
			: [],
	);
}

function givenUp(wish: Wish): Array<{ body: RecordBody }> {
	const reasons = ["its record was not on disk in time"];
	if (wish.type === "order")
		return [{ body: { kind: "order-refused", id: wish.order.id, reasons } }];
	if (wish.type === "acknowledge")
		return [{ body: { kind: "acknowledge-refused", id: wish.id, reasons } }];
	// The statechart gives up a start by itself, with a trip.
	return [];
}

function granted(wish: Wish, present: Present, atMs: number): CycleEvent {
	switch (wish.type) {
		case "order":
			return { type: "order", atMs, order: wish.order, present };
		case "acknowledge":
			return { ...wish, atMs, present };
		case "start":
			return { type: "start-durable", atMs, present };
	}
}
