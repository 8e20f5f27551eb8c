// What the guide of commissioning makes of how the controller stands: a step under way is followed,
// one that has ended is told, and the rig comes to rest before the next. Pure.

import { stepRows } from "../../../firmware/commission/step-rows.ts";
import type { GuideState, Look, Turn } from "./guide-state.ts";
import { and, askOrder, inTrial, isOurs, leave, offerNext, turn } from "./guide-turns.ts";
import {
	bad,
	fillLines,
	listHead,
	outcomeLines,
	plain,
	rigFileLines,
	sayLines,
	stepLines,
	type Trial,
	trippedLines,
} from "./guide-words.ts";

/** An order that is taken and not seen at work after so many looks is asked for again. */
const ORDER_LOOKS_MAX = 15;
/** So many looks a trip has to come, before an order that is still at work is stopped. */
const TRIP_LOOKS_MAX = 20;

export function looked(before: GuideState, look: Look): Turn {
	const rows = look.rows ?? before.rows;
	const isStale = look.rows === null && before.isStale;
	const state: GuideState = { ...before, look, rows, isStale };
	if (state.sent !== null) return turn(state);
	if (state.leaving !== null) return leave(state);
	switch (state.phase) {
		case "resume":
			return isStale ? turn(state) : resume(before, state, look);
		case "settle":
			return settle(state, look);
		case "trial":
		case "order":
		case "tank":
		case "can":
		case "entries":
			return look.now.trial === null ? ended(state, look) : stay(state, look, look.now.trial);
		default:
			return turn(state);
	}
}

/** Where things stand, at the beginning or after a gap: what passed meanwhile stays passed. */
function resume(before: GuideState, state: GuideState, look: Look): Turn {
	const { trial } = look.now;
	const head = before.rows.length === 0 ? listHead(state.rows) : [];
	if (trial !== null) {
		const words = "It was begun before, here or at another terminal; q ends it for both.";
		const lines = [...head, ...stepLines(trial.step, "Under way: "), plain(words)];
		return and(turn({ ...inTrial(state), step: trial.step }, lines), (next) => follow(next, trial));
	}
	const { step } = state;
	// It came to its end while nobody looked.
	if (step !== null && state.asks !== null && look.now.last?.step === step) {
		return and(turn(state, head), (next) => ended(next, look));
	}
	return and(turn({ ...state, asks: null }, head), (next) =>
		look.status.state === "idle" ? offerNext(next) : settle({ ...next, phase: "settle" }, look),
	);
}

function follow(state: GuideState, trial: Trial): Turn {
	const isNew = trial.say !== state.said || trial.asks !== state.asks;
	const lines = isNew ? sayLines(trial) : [];
	const fills = state.look?.fills ?? null;
	const told = fills === null ? "" : JSON.stringify(fills);
	const shown = told !== state.fillsTold && fills !== null ? fillLines(fills) : [];
	const next: GuideState = {
		...state,
		step: trial.step,
		said: trial.say,
		asks: trial.asks,
		fillsTold: told,
		orderedLooks: waitedFor(state, trial),
	};
	const all = [...shown, ...lines];
	if (trial.asks === "order")
		return next.orderedLooks === null ? askOrder(next, all) : turn(next, all);
	if (trial.asks === "answer") {
		const isAsked = state.phase === "entries";
		return turn({ ...next, phase: "entries", values: isAsked ? state.values : {} }, all);
	}
	return turn({ ...next, phase: "trial" }, all);
}

/** A trip that is not the step's own leaves it under way, with an order that might go on. */
function stay(state: GuideState, { status }: Look, trial: Trial): Turn {
	if (status.state !== "tripped" || !isOurs(status.order)) {
		return follow({ ...state, settledLooks: 0, isStopped: false }, trial);
	}
	// The step's own trip ends it within that time.
	if (state.isStopped || state.settledLooks < TRIP_LOOKS_MAX) {
		return follow({ ...state, settledLooks: state.settledLooks + 1 }, trial);
	}
	const { lines, next } = withTrips(state, status);
	const words = "The order is stopped: it might go on by itself after the acknowledgement.";
	return turn({ ...next, isStopped: true }, [...lines, plain(words)], { type: "stop" });
}

/** Each trip is told once. */
function withTrips(state: GuideState, { trips, state: name }: Look["status"]) {
	const codes = trips.map(({ code }) => code).join();
	const isNews = name === "tripped" && codes !== state.toldTrips;
	const settledLooks = state.settledLooks + 1;
	const next: GuideState = { ...state, settledLooks, ...(isNews && { toldTrips: codes }) };
	return { lines: isNews ? trippedLines(trips) : [], next };
}

/** An order that was taken shows soon, or has ended before it was seen. */
function waitedFor({ orderedLooks, look }: GuideState, { asks }: Trial): number | null {
	if (orderedLooks === null || asks !== "order") return null;
	if (look?.status.order != null) return orderedLooks;
	return orderedLooks < ORDER_LOOKS_MAX ? orderedLooks + 1 : null;
}

/** The controller has no step under way any more. */
function ended(state: GuideState, { now }: Look): Turn {
	const { step } = state;
	const last = now.last?.step === step ? now.last : null;
	const fills = state.look?.fills ?? null;
	const isFills = step !== null && stepRows[step].goes.kind === "fills";
	const lines = [
		...(isFills && fills !== null ? fillLines(fills) : []),
		...(last === null
			? [bad("The step ended without a result; what had passed stays passed.")]
			: outcomeLines(last)),
		...(isFills && fills !== null && last?.passed === false ? rigFileLines(fills) : []),
	];
	const hasPassed = last?.passed === true;
	const next: GuideState = {
		...state,
		phase: "settle",
		isStale: true,
		hasPassed,
		settledLooks: 0,
		asks: null,
		orderedLooks: null,
		done: hasPassed && step !== null ? [...state.done, step] : state.done,
	};
	return turn(next, lines);
}

/** Until the rig is at rest: its order is stopped, its trip acknowledged at the box. */
function settle(state: GuideState, { status }: Look): Turn {
	const { hasPassed, isStale } = state;
	if (status.state === "idle") {
		if (isStale) return turn(state);
		const thanks = state.toldTrips === "" ? [] : [plain("Acknowledged.")];
		const calm = { ...state, toldTrips: "", isStopped: false };
		if (hasPassed === false) return turn({ ...calm, phase: "after" }, thanks);
		return and(turn(calm, thanks), offerNext);
	}
	const { lines, next } = withTrips(state, status);
	// Some trips' orders would go on after the acknowledgement: not in here.
	if (isOurs(status.order) && !next.isStopped && isTimeToStop(next, status)) {
		const words = plain("The order is stopped: the step is done.");
		return turn({ ...next, isStopped: true }, [...lines, words], { type: "stop" });
	}
	return turn(next, lines);
}

/** A cut and a trip by hand end in a trip, which comes a moment after the proof. */
function isTimeToStop({ step, settledLooks }: GuideState, { state }: Look["status"]): boolean {
	if (state === "tripped" || step === null) return true;
	const { kind } = stepRows[step].goes;
	return (kind !== "cut" && kind !== "trip") || settledLooks > TRIP_LOOKS_MAX;
}
