// Orders, acknowledgements and the log's answers on their way to the statechart. What may turn the
// pump on is written down first and waits here until its record is durable; a stop goes straight
// through. Pure.

import type { Rig } from "./config/rig.ts";
import type { StateName } from "./cycle/effects.ts";
import type { CycleEvent, Present } from "./cycle/events.ts";
import { type Command, type Order, orderFrom, refusals } from "./cycle/orders.ts";
import type { Place } from "./cycle/trips.ts";
import type { RecordBody } from "./log/record.ts";

/** What the record store has said of itself. */
export interface LogState {
	/** Every record up to this number survives a power cut. */
	readonly durableSeq: number;
	readonly failed: boolean;
}

export type Wish =
	| { readonly type: "order"; readonly order: Order }
	| { readonly type: "acknowledge"; readonly from: Place }
	| { readonly type: "start" };

/** A wish that waits for record `seq` to be durable. */
export interface Waiting {
	readonly seq: number;
	readonly wish: Wish;
}

/** What one tick's intake decides: records to write, and wishes tied to some of them. */
export interface Intake {
	readonly events: CycleEvent[];
	readonly waiting: readonly Waiting[];
	readonly bodies: Array<{ body: RecordBody; wish?: Wish }>;
}

export interface IntakeInputs {
	readonly nowMs: number;
	/** The trade's name of the state that the controller is in. */
	readonly state: StateName;
	readonly waiting: readonly Waiting[];
	readonly commands: readonly Command[];
	readonly buttonPressed: boolean;
	readonly log: LogState;
	/** Made only when something asks, since most ticks ask nothing. */
	readonly present: () => Present;
}

export function takeIn(rig: Rig, inputs: IntakeInputs): Intake {
	const { nowMs, state, commands, log, present } = inputs;
	const events: CycleEvent[] = [];
	const bodies: Intake["bodies"] = [];
	let waiting = inputs.waiting;

	for (const command of commands) {
		switch (command.type) {
			case "stop":
				events.push({ type: "stop", atMs: nowMs, by: command.id });
				bodies.push({ body: { kind: "stop", by: command.id } });
				// Whoever stops means what has been asked for and not begun, too.
				waiting = waiting.filter(({ wish }) => wish.type === "acknowledge");
				break;
			case "polish": {
				const reasons = refusals(command.polish, rig, state, present());
				const order = orderFrom(command.id, command.polish, rig);
				if (reasons.length > 0) {
					bodies.push({ body: { kind: "order-refused", id: command.id, reasons } });
				} else {
					bodies.push({ body: { kind: "order", order }, wish: { type: "order", order } });
				}
				break;
			}
			case "acknowledge":
				bodies.push(acknowledgement("link"));
				break;
			case "note-drained":
				bodies.push({ body: { kind: "drained", waterMl: command.waterMl } });
				break;
		}
	}
	if (inputs.buttonPressed) bodies.push(acknowledgement("box"));

	if (waiting.some(({ seq }) => seq <= log.durableSeq)) {
		for (const { seq, wish } of waiting) {
			if (seq <= log.durableSeq) events.push(granted(wish, present(), nowMs));
		}
		waiting = waiting.filter(({ seq }) => seq > log.durableSeq);
	}
	return { events, waiting, bodies };
}

function acknowledgement(from: Place): { body: RecordBody; wish: Wish } {
	return { body: { kind: "acknowledge", from }, wish: { type: "acknowledge", from } };
}

function granted(wish: Wish, present: Present, atMs: number): CycleEvent {
	switch (wish.type) {
		case "order":
			return { type: "order", atMs, order: wish.order, present };
		case "acknowledge":
			return { type: "acknowledge", atMs, from: wish.from, present };
		case "start":
			return { type: "start-durable", atMs, present };
	}
}
