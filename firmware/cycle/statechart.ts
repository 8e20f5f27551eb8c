// The statechart that governs the pump. Declarative: states, what moves between them, how long
// they last. It holds no clock and runs no actor; advance.ts drives it with edges and due delays.
// Tags are its whole demand: `pump` (K1 closed to pump), `k1` (K1 closed alone, for its proof),
// `no-beat` (the dead-man is starved on purpose), `horn`.
//
//   idle --order--> working: priming -> polishing <-> resting       any --finding--> tripped
//     ^                |                                                                |
//     +--- goal, stop -+            working <--- acknowledged, order goes on -----------+

import { assign, enqueueActions, setup } from "xstate";
import type { Rig } from "../config/rig.ts";
import * as rules from "./context.ts";
import type { CycleEffect, Outcome } from "./effects.ts";
import type { CycleEvent } from "./events.ts";
import { type TripCode, trips } from "./trips.ts";

export type CycleTag = "pump" | "k1" | "no-beat" | "horn";

/** Each contact is closed alone for this long; a stray current counts after `strayDelayMs`. */
const PROOF_MS = 2_500;
/** The dead-man lets go within 1.5 s of the last edge, at worst tolerance. */
const K2_OPENS_MS = 2_000;
/** The dead-man's reservoir is full again by then. */
const K2_CLOSES_MS = 1_500;
/** The horn of a trip falls silent by itself; the lamp stays. */
const TRIP_HORN_MS = 60_000;

type ActionParams = {
	trip: { code: TripCode; cause?: string };
	end: { outcome: Outcome };
};

/** The statechart of one rig: its pump's rating and its setpoints are the delays. */
export function createStatechart(rig: Rig) {
	const { pump, setpoints } = rig;
	const primeMs = pump.dryRunSecondsMax * 1000;

	return setup({
		types: {} as {
			context: rules.CycleContext;
			events: CycleEvent;
			emitted: CycleEffect;
			tags: CycleTag;
		},
		delays: {
			recordPatience: setpoints.recordPatienceMs,
			hornTime: setpoints.hornMs,
			proof: PROOF_MS,
			k2Opens: K2_OPENS_MS,
			k2Closes: K2_CLOSES_MS,
			primeTime: primeMs,
			primeRest: primeMs,
			dutyLeft: ({ context }) => rules.dutyLeftMs(context, rig),
			dutyRest: ({ context }) => rules.dutyRestMs(context, rig),
			workLeft: ({ context }) => rules.workLeftMs(context, rig),
			tripHorn: TRIP_HORN_MS,
		},
		guards: {
			mayStart: ({ event }) =>
				event.type === "order" &&
				rules.goOnBlockers(orderContext(event), event.present).length === 0,
			mayGoOn: ({ context, event }) =>
				event.type === "start-durable" && rules.goOnBlockers(context, event.present).length === 0,
			acknowledgeRefused: ({ context, event }) =>
				event.type === "acknowledge" &&
				rules.acknowledgeBlockers(context, event.from, event.present).length > 0,
			orderSurvives: ({ context }) => rules.orderSurvives(context),
			// Every start but one that a person at the rig has just ordered is announced by the horn.
			unannounced: ({ context }) =>
				context.startReason === "ordered" && context.order?.attended !== false,
			triesLeft: ({ context }) => context.primeTry < setpoints.primeTriesMax,
		},
		actions: {
			pumpOn: assign(({ context, event }) => rules.withPump(context, rig, true, event.atMs)),
			pumpOff: assign(({ context, event }) => rules.withPump(context, rig, false, event.atMs)),
			workBegins: assign(({ event }) => rules.withWorkBegun(event.atMs)),
			workPauses: assign(({ context, event }) => rules.withWorkPaused(context, event.atMs)),
			countTry: assign(({ context }) => ({ primeTry: context.primeTry + 1 })),
			noteDrain: assign(({ context }) => ({
				trips: context.trips.map((trip) => ({ ...trip, drainSeen: true })),
			})),
			takeOrder: enqueueActions(({ event, enqueue }) => {
				if (event.type !== "order") return;
				enqueue.assign({ order: event.order, startReason: "ordered", workedMs: 0, unproven: [] });
				enqueue.emit({ type: "run-begin", order: event.order });
			}),
			refuseOrder: enqueueActions(({ event, enqueue }) => {
				if (event.type !== "order") return;
				const now = rules.goOnBlockers(orderContext(event), event.present);
				const reasons = now.length > 0 ? now : ["the controller is busy or tripped by now"];
				enqueue.emit({ type: "order-refused", id: event.order.id, reasons });
			}),
			trip: enqueueActions(({ context, event, enqueue }, { code, cause }: ActionParams["trip"]) => {
				const words = cause ?? trips[code].cause;
				const isNew = !context.trips.some((trip) => trip.code === code);
				enqueue.assign(rules.withTrip(context, code, words, event.atMs));
				if (isNew) enqueue.emit({ type: "trip", code, cause: words });
				if (context.order !== null && trips[code].afterwards === "end the order") {
					enqueue.emit({ type: "run-end", outcome: `tripped: ${code}`, reasons: [] });
					enqueue.assign({ order: null });
				}
			}),
			end: enqueueActions(({ context, event, enqueue }, { outcome }: ActionParams["end"]) => {
				if (context.order === null) return;
				const reasons =
					event.type === "start-durable" ? rules.goOnBlockers(context, event.present) : [];
				enqueue.emit({ type: "run-end", outcome, reasons });
				enqueue.assign({ order: null });
			}),
			// Trips of an earlier boot are open still; they are in the log already.
			recover: enqueueActions(({ event, enqueue }) => {
				if (event.type !== "recovered") return;
				for (const { code, cause } of event.trips) {
					enqueue.assign(({ context: now }) => rules.withTrip(now, code, cause, event.atMs));
				}
				if (!event.interrupted) return;
				enqueue.assign(({ context: now }) =>
					rules.withTrip(now, "interrupted", trips.interrupted.cause, event.atMs),
				);
				const { cause } = trips.interrupted;
				enqueue.emit({ type: "trip", code: "interrupted", cause });
			}),
			acknowledge: enqueueActions(({ context, event, enqueue }) => {
				if (event.type !== "acknowledge") return;
				const codes = context.trips.map((trip) => trip.code);
				enqueue.emit({ type: "acknowledged", codes, from: event.from });
				enqueue.assign({ trips: [], unproven: codes, startReason: "acknowledged" });
			}),
			refuseAcknowledge: enqueueActions(({ context, event, enqueue }) => {
				if (event.type !== "acknowledge") return;
				const reasons = rules.acknowledgeBlockers(context, event.from, event.present);
				enqueue.emit({ type: "acknowledge-refused", reasons });
			}),
			fuelArrived: enqueueActions(({ context, enqueue }) => {
				const { primeTry, unproven } = context;
				enqueue.emit({ type: "prime", primeTry, result: "fuel" });
				if (unproven.length > 0) {
					enqueue.emit({ type: "cleared", codes: unproven });
					enqueue.assign({ unproven: [] });
				}
			}),
			noFuel: enqueueActions(({ context, enqueue }) => {
				const { primeTry } = context;
				enqueue.emit({ type: "prime", primeTry, result: "none" });
			}),
			requestStart: enqueueActions(({ context, enqueue }) => {
				enqueue.assign({ primeTry: 0 });
				enqueue.emit({ type: "start", reason: context.startReason });
			}),
		},
	}).createMachine({
		id: "cycle",
		context: rules.contextAtBoot,
		initial: "idle",
		on: {
			order: { actions: "refuseOrder" },
			"stop-pressed": { target: ".tripped", reenter: true, actions: tripping("stop-button") },
			"water-seen": { target: ".tripped", reenter: true, actions: tripping("water-in-bowl") },
			"stray-current": {
				target: ".tripped",
				reenter: true,
				actions: tripping("relay-stuck", "current while K1 is open: K1 is welded"),
			},
			veto: {
				target: ".tripped",
				reenter: true,
				actions: { type: "trip", params: ({ event: { code, cause } }) => ({ code, cause }) },
			},
		},
		states: {
			idle: {
				on: {
					recovered: { target: "tripped", actions: "recover" },
					order: [
						{ guard: "mayStart", target: "working", actions: "takeOrder" },
						{ actions: "refuseOrder" },
					],
				},
			},
			working: {
				initial: "priming",
				entry: "workBegins",
				exit: "workPauses",
				after: { workLeft: { target: "tripped", actions: tripping("time-limit") } },
				on: {
					stop: { target: "idle", actions: ending("stopped") },
					"goal-reached": { target: "idle", actions: ending("finished") },
					"log-failed": { target: "tripped", actions: tripping("log-failed") },
					"board-lost": {
						target: "tripped",
						actions: {
							type: "trip",
							params: ({ event }) => ({ code: "board-lost" as const, cause: event.why }),
						},
					},
					"sensor-lost": {
						target: "tripped",
						actions: {
							type: "trip",
							params: ({ event }) => ({
								code: "sensor-fault" as const,
								cause: `${event.sensor} reads ${event.why}`,
							}),
						},
					},
				},
				states: {
					priming: {
						initial: "recording",
						states: {
							recording: {
								entry: "requestStart",
								on: {
									"start-durable": [
										{ guard: "mayGoOn", target: "announcing" },
										{ target: "#cycle.idle", actions: ending("could not start") },
									],
								},
								after: {
									recordPatience: { target: "#cycle.tripped", actions: tripping("log-failed") },
								},
							},
							announcing: {
								always: { guard: "unannounced", target: "provingK1" },
								tags: "horn",
								after: { hornTime: "provingK1" },
							},
							// K2 closed by the beat, K1 open: current now means a welded K1.
							provingK1: { after: { proof: "openingK2" } },
							openingK2: { tags: "no-beat", after: { k2Opens: "provingK2" } },
							// K1 closed, K2 starved: current now means a welded K2.
							provingK2: {
								tags: ["no-beat", "k1"],
								on: {
									"stray-current": {
										target: "#cycle.tripped",
										actions: tripping("relay-stuck", "current while K2 is starved: K2 is welded"),
									},
								},
								after: { proof: "closingK2" },
							},
							closingK2: { after: { k2Closes: "drawing" } },
							drawing: {
								tags: "pump",
								entry: ["pumpOn", "countTry"],
								exit: "pumpOff",
								on: {
									"flow-established": {
										target: "#cycle.working.polishing",
										actions: "fuelArrived",
									},
								},
								after: {
									primeTime: [
										{ guard: "triesLeft", target: "pausing", actions: "noFuel" },
										{ target: "#cycle.tripped", actions: ["noFuel", tripping("prime-failed")] },
									],
								},
							},
							pausing: { after: { primeRest: "drawing" } },
						},
					},
					polishing: {
						tags: "pump",
						entry: "pumpOn",
						exit: "pumpOff",
						on: { "flow-lost": { target: "#cycle.tripped", actions: tripping("dry-run") } },
						after: { dutyLeft: "resting" },
					},
					resting: {
						exit: assign({ startReason: "rested" }),
						after: { dutyRest: "priming" },
					},
				},
			},
			tripped: {
				initial: "sounding",
				on: {
					acknowledge: [
						{ guard: "acknowledgeRefused", actions: "refuseAcknowledge" },
						{ guard: "orderSurvives", target: "working", actions: "acknowledge" },
						{ target: "idle", actions: "acknowledge" },
					],
					"water-gone": { actions: "noteDrain" },
					stop: { actions: ending("stopped") },
				},
				states: {
					sounding: { tags: "horn", after: { tripHorn: "silent" } },
					silent: {},
				},
			},
		},
	});
}

export type Statechart = ReturnType<typeof createStatechart>;

/** A context in which only the order counts, for the rules that ask whether it may start. */
function orderContext(event: Extract<CycleEvent, { type: "order" }>): rules.CycleContext {
	return { ...rules.contextAtBoot, order: event.order };
}

function tripping(code: TripCode, cause?: string) {
	const params = cause === undefined ? { code } : { code, cause };
	return { type: "trip", params } as const;
}

function ending(outcome: Outcome) {
	return { type: "end", params: { outcome } } as const;
}
