// The statechart that governs the pump. Declarative: states, what moves between them, how long
// they last. It holds no clock and runs no actor; advance.ts drives it with edges and due delays.
// Tags are its whole demand: `k1` (closed), `beat` (the dead-man is fed, so K2 closes), `horn`,
// `lamp`. Outside a start and a run both contacts are open. The motor turns where `k1` and `beat`
// meet.
//
//   idle --order--> working: priming -> polishing <-> resting, standing, held   any --> tripped
//     ^                |                                                                |
//     +--- goal, stop -+            working <--- acknowledged, order goes on -----------+

import { assign, enqueueActions, setup } from "xstate";
import type { Rig } from "../config/rig.ts";
import {
	causesOf,
	ending,
	FIXED_MS,
	gap,
	holding,
	notCooling,
	orderContext,
	outOfTries,
	tripOf,
	tripping,
	warmInRun,
} from "./chart-parts.ts";
import * as rules from "./context.ts";
import type { CycleEffect, Outcome } from "./effects.ts";
import type { CycleEvent } from "./events.ts";
import { holdRows } from "./holds.ts";
import { clearTrips, openTrip, reopenTrips, type TripParams } from "./opening.ts";
import { beginOrder, endOrder, refuseOrder } from "./order-ends.ts";
import { waitsOf } from "./orders.ts";

export type CycleTag = "k1" | "beat" | "horn" | "lamp";

type ActionParams = {
	trip: TripParams;
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
			...FIXED_MS,
			primeTime: primeMs,
			// The warning before the next try is part of the rest.
			primeRest: Math.max(0, primeMs - setpoints.hornMs),
			dutyLeft: ({ context }) => rules.dutyLeftMs(context, rig, context.dutyAtMs),
			rest: ({ context }) => rules.restMs(context, rig),
			stand: ({ context }) => (context.order?.sweep?.standSeconds ?? 0) * 1000,
			workLeft: ({ context }) => rules.workLeftMs(context, rig),
			holdTime: setpoints.holdHoursMax * 3_600_000,
		},
		guards: {
			mayStart: ({ event }) =>
				event.type === "order" &&
				waitsOf(event.order, event.present).length === 0 &&
				rules.goOnBlockers(orderContext(event), event.present).length === 0,
			mustRest: ({ context, event }) => rules.mustRest(context, rig, event.atMs),
			mayNotGoOn: ({ context, event }) =>
				event.type === "start-durable" && rules.goOnBlockers(context, event.present).length > 0,
			acknowledgeRefused: ({ context, event }) =>
				event.type === "acknowledge" && rules.acknowledgeBlockers(context, event).length > 0,
			orderSurvives: ({ context }) => rules.orderSurvives(context),
			mustHold: ({ context, event }) =>
				event.type === "start-durable" && causesOf(context, event).length > 0,
			mustHoldTooOften: ({ context, event }) =>
				event.type === "start-durable" &&
				causesOf(context, event).length > 0 &&
				!rules.mayHoldAgain(context, event.atMs),
			isAtWork: ({ context }) => context.workingSinceMs !== null,
			isReleased: ({ event }) => event.type === "holds" && event.causes.length === 0,
			holdsTooOften: ({ context, event }) => !rules.mayHoldAgain(context, event.atMs),
			isForNobody: ({ context, event }) =>
				event.type === "trouble" &&
				event.unattendedOnly === true &&
				context.order?.attended === true,
			isSweeping: ({ context }) => rules.isSweeping(context),
			isSwept: ({ context }) => rules.isSwept(context),
			warmEarly: ({ context, event }) => rules.isWarmEarly(context, rig, event.atMs),
			warmTooOften: ({ context, event }) =>
				rules.isWarmEarly(context, rig, event.atMs) && !rules.mayHoldAgain(context, event.atMs),
			isCool: ({ context }) => !context.motorWarm,
			isWarm: ({ context }) => context.motorWarm,
			isRested: ({ context }) => context.rested,
			contactStuck: ({ context }) => context.trips.some(({ code }) => code === "relay-stuck"),
			triesLeft: ({ context }) => context.primeTry < setpoints.primeTriesMax,
			noTriesLeft: ({ context }) => context.primeTry >= setpoints.primeTriesMax,
		},
		actions: {
			// Which condition it was that made the order wait; the first one names the trip.
			noteHold: enqueueActions(({ context, event, enqueue }) => {
				const causes = causesOf(context, event);
				enqueue.assign({ heldFor: causes });
				enqueue.emit({ type: "held", causes });
			}),
			resume: assign(({ context, event }) => rules.withResumed(context, event.atMs)),
			pumpOn: assign(({ context, event }) => rules.withPump(context, rig, true, event.atMs)),
			pumpOff: assign(({ context, event }) => rules.withPump(context, rig, false, event.atMs)),
			workBegins: assign(({ event }) => rules.withWorkBegun(event.atMs)),
			workPauses: assign(({ context, event }) => rules.withWorkPaused(context, event.atMs)),
			// Until fuel arrives each try counts as dry, however it ends.
			dryRest: assign(({ event }) => ({ dryRestUntilMs: event.atMs + primeMs })),
			countTry: assign(({ context }) => ({ primeTry: context.primeTry + 1, burstProven: false })),
			noteWarm: assign({ motorWarm: true }),
			noteWarmEarly: assign(({ context, event }) => ({
				motorWarm: true,
				...rules.withGoneOn(context, event.atMs),
			})),
			noteCool: assign({ motorWarm: false }),
			restBegins: assign({ rested: false }),
			noteRested: assign({ rested: true }),
			countBurst: enqueueActions(({ context, enqueue }) => {
				const counted = rules.withBurst(context);
				const { dryBursts = 0 } = counted;
				enqueue.assign(counted);
				enqueue.emit({ type: "burst", dryBursts, of: context.order?.sweep?.dryBursts ?? 0 });
			}),
			noteDrain: enqueueActions(({ context, enqueue }) => {
				if (context.trips.every((trip) => trip.drainSeen)) return;
				enqueue.assign({ trips: context.trips.map((trip) => ({ ...trip, drainSeen: true })) });
				enqueue.emit({ type: "drain-seen" });
			}),
			takeOrder: enqueueActions(({ event, enqueue }) => {
				if (event.type === "order") beginOrder(enqueue, event.order);
			}),
			refuseOrder: enqueueActions(({ event, enqueue }) => {
				if (event.type === "order") refuseOrder(enqueue, event);
			}),
			trip: enqueueActions(({ context, event, enqueue }, params: ActionParams["trip"]) => {
				openTrip(enqueue, context, event.atMs, params);
			}),
			heldTooLong: enqueueActions(({ context, event, enqueue }) => {
				const cause = causesOf(context, event)[0] ?? context.heldFor[0] ?? "cold";
				const { code, words } = holdRows[cause];
				const trip = { code, cause: `${words}; it has waited enough` };
				openTrip(enqueue, context, event.atMs, trip);
			}),
			end: enqueueActions(({ context, event, enqueue }, { outcome }: ActionParams["end"]) => {
				endOrder(enqueue, context, outcome, event);
			}),
			recover: enqueueActions(({ event, enqueue }) => {
				if (event.type === "recovered") reopenTrips(enqueue, event);
			}),
			acknowledge: enqueueActions(({ context, event, enqueue }) => {
				if (event.type === "acknowledge") clearTrips(enqueue, context, event);
			}),
			refuseAcknowledge: enqueueActions(({ context, event, enqueue }) => {
				if (event.type !== "acknowledge") return;
				// Another one may have cleared them while this one waited for its record.
				const isOpen = context.trips.length > 0;
				const reasons = isOpen ? rules.acknowledgeBlockers(context, event) : ["no trip is open"];
				enqueue.emit({ type: "acknowledge-refused", id: event.id, reasons });
			}),
			fuelArrived: enqueueActions(({ context, enqueue }) => {
				const { primeTry, unproven } = context;
				enqueue.emit({ type: "prime", primeTry, result: "fuel" });
				if (unproven.length > 0) enqueue.emit({ type: "cleared", codes: unproven });
				enqueue.assign({ unproven: [], primeTry: 0, dryRestUntilMs: 0, burstProven: true });
			}),
			noFuel: enqueueActions(({ context, enqueue }) => {
				const { primeTry } = context;
				enqueue.emit({ type: "prime", primeTry, result: "none" });
			}),
			requestStart: enqueueActions(({ context, enqueue }) => {
				enqueue.emit({ type: "start", reason: context.startReason });
			}),
		},
	}).createMachine({
		id: "cycle",
		context: rules.contextAtBoot,
		initial: "idle",
		on: {
			order: { actions: "refuseOrder" },
			acknowledge: { actions: "refuseAcknowledge" },
			"motor-warm": { actions: "noteWarm" },
			"motor-cooled": { actions: "noteCool" },
			alarm: {
				target: ".tripped",
				reenter: true,
				actions: { type: "trip", params: ({ event }) => tripOf(event) },
			},
			"stray-current": {
				target: ".tripped",
				reenter: true,
				actions: tripping("relay-stuck", "current while K1 is open: K1 is welded"),
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
				// What is held is not at work: its time stands still, and begins again with the next start.
				after: {
					workLeft: { guard: "isAtWork", target: "tripped", actions: tripping("time-limit") },
				},
				on: {
					stop: { target: "idle", actions: ending("stopped") },
					"permits-lost": { target: "idle", actions: ending("no longer permitted") },
					"goal-reached": { target: "idle", actions: ending("finished") },
					trouble: [
						{ guard: "isForNobody" },
						{
							target: "tripped",
							actions: { type: "trip", params: ({ event }) => tripOf(event) },
						},
					],
				},
				states: {
					priming: {
						initial: "recording",
						tags: "lamp",
						on: {
							"tick-gap": { target: "#cycle.tripped", actions: gap },
							holds: holding,
							"motor-warm": { target: "resting", actions: "noteWarm" },
						},
						states: {
							recording: {
								entry: "requestStart",
								on: {
									"start-durable": [
										{
											guard: "mayNotGoOn",
											target: "#cycle.idle",
											actions: ending("could not start"),
										},
										{ guard: "mustHoldTooOften", target: "#cycle.tripped", actions: "heldTooLong" },
										{ guard: "mustHold", target: "#cycle.working.held" },
										// A hold may have cut the last try short: it counts all the same.
										{
											guard: "noTriesLeft",
											target: "#cycle.tripped",
											actions: tripping("prime-failed"),
										},
										{ guard: "mustRest", target: "#cycle.working.resting" },
										{ target: "announcing" },
									],
								},
								after: {
									recordPatience: { target: "#cycle.tripped", actions: tripping("log-failed") },
								},
							},
							announcing: { tags: "horn", after: { hornTime: "openingK2" } },
							// The dead-man has been starved since the pump last ran; it lets go by then.
							openingK2: { after: { k2Opens: "provingK2" } },
							// K1 closed alone: current now means a welded K2.
							provingK2: {
								tags: "k1",
								on: {
									"stray-current": {
										target: "#cycle.tripped",
										actions: tripping("relay-stuck", "current while K2 is starved: K2 is welded"),
									},
								},
								after: { proof: "provingK1" },
							},
							// K2 closes alone: current now means a welded K1.
							provingK1: { tags: "beat", after: { k2Proof: "drawing" } },
							drawing: {
								tags: ["k1", "beat"],
								entry: ["pumpOn", "countTry"],
								exit: ["pumpOff", "dryRest"],
								on: {
									"flow-established": {
										target: "#cycle.working.polishing",
										actions: "fuelArrived",
									},
									"burst-done": { guard: "isSweeping", target: "#cycle.working.standing" },
								},
								after: {
									dutyLeft: [
										{
											guard: "triesLeft",
											target: "#cycle.working.resting",
											actions: "noFuel",
										},
										outOfTries,
									],
									primeTime: [
										{ guard: "triesLeft", target: "pausing", actions: "noFuel" },
										outOfTries,
									],
								},
							},
							pausing: { tags: "beat", after: { primeRest: "announcingAgain" } },
							announcingAgain: { tags: ["beat", "horn"], after: { hornTime: "drawing" } },
						},
					},
					polishing: {
						tags: ["k1", "beat", "lamp"],
						entry: "pumpOn",
						exit: "pumpOff",
						on: {
							"tick-gap": { target: "#cycle.tripped", actions: gap },
							"flow-lost": { target: "#cycle.tripped", actions: tripping("dry-run") },
							"burst-done": { guard: "isSweeping", target: "standing" },
							"motor-warm": warmInRun,
							holds: holding,
						},
						after: { dutyLeft: "resting" },
					},
					// What came with the burst falls out in the bowl; water at the probe is an alarm.
					standing: {
						exit: assign({ startReason: "stood" }),
						on: { holds: holding },
						after: {
							stand: [
								{
									guard: "isSwept",
									target: "#cycle.idle",
									actions: ["countBurst", ending("finished")],
								},
								{ target: "priming", actions: "countBurst" },
							],
						},
					},
					resting: {
						// Brings the duty up to now, also where the pump has been off for long.
						entry: ["pumpOff", "restBegins"],
						exit: assign({ startReason: "rested" }),
						on: {
							"motor-cooled": [
								{ guard: "isRested", target: "priming", actions: "noteCool" },
								{ actions: "noteCool" },
							],
						},
						after: {
							rest: [{ guard: "isCool", target: "priming" }, { actions: "noteRested" }],
							coolsWithin: notCooling,
						},
					},
					held: {
						entry: ["pumpOff", "workPauses", "noteHold"],
						on: {
							holds: [
								{
									guard: "isReleased",
									target: "#cycle.working",
									reenter: true,
									actions: "resume",
								},
								{ actions: "noteHold" },
							],
						},
						after: { holdTime: { target: "#cycle.tripped", actions: "heldTooLong" } },
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
					// While a contact may be welded the horn goes on until somebody is there.
					sounding: {
						tags: "horn",
						after: { tripHorn: [{ guard: "contactStuck" }, { target: "silent" }] },
					},
					silent: {},
				},
			},
		},
	});
}

export type Statechart = ReturnType<typeof createStatechart>;
