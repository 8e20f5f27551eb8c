// A person causes a trip in an attended polish: it must come by its own code, and the motor's
// current must end. Pure.

import { OFF_MS_MAX, type Proceeding } from "./steps.ts";
import {
	endOfRun,
	failed,
	judged,
	type Kind,
	rounded,
	runOf,
	type Scene,
	shownOf,
	WRONG_ORDER,
} from "./trial.ts";

type Trip = Extract<Proceeding, { kind: "trip" }>;

export interface TripWork {
	readonly kind: "trip";
	readonly orderId: string | null;
	/** The pump has brought fuel. */
	readonly isPumping: boolean;
	/** The motor was on in the last tick: a trip stops what turns. */
	readonly isTurning: boolean;
	readonly tripMs: number | null;
}

/** A board that was away is heard again within it, or nothing is known of the current, ms. */
const BACK_MS = 60_000;

export const tripByHand: Kind<Trip, TripWork> = {
	begin: () => ({ kind: "trip", orderId: null, isPumping: false, isTurning: false, tripMs: null }),
	advance({ code }, before, scene) {
		const run = runOf(before.orderId, scene);
		if (run.is === "awaited") return { work: before };
		if (run.is === "wrong") return { work: before, end: WRONG_ORDER };
		const { name, cycle, motorOn } = scene;
		const isPumping = before.isPumping || (name === "polishing" && motorOn);
		const isNews = run.is === "begun" || isPumping !== before.isPumping;
		const isChanged = isNews || motorOn !== before.isTurning;
		const work = isChanged ? { ...before, orderId: run.id, isPumping, isTurning: motorOn } : before;
		if (work.tripMs !== null) return proven(code, work, work.tripMs, scene);
		const trip = cycle.context.trips.find((open) => open.code === code);
		if (trip !== undefined) {
			const isEarly = !isPumping || !before.isTurning;
			if (isEarly) return { work, end: failed([`${code} came while the pump moved no fuel`]) };
			return proven(code, { ...work, tripMs: trip.atMs }, trip.atMs, scene);
		}
		const isOver = run.is === "over" || name === "tripped";
		if (!isOver) return { work, isActive: isNews };
		return { work, end: failed([`${code} did not come: ${endOfRun(scene)}`]) };
	},
	asks: (_, { orderId, isPumping }) => {
		if (orderId === null) return "order";
		return isPumping ? "act" : "wait";
	},
	say: ({ code }, { orderId, isPumping, tripMs }) => {
		if (orderId === null) return "Order it now.";
		if (tripMs !== null) return `Tripped: ${code}. The current is watched.`;
		return isPumping ? "Do it now." : "Wait until fuel has come.";
	},
	entries: () => [],
	isTried: (_, { isPumping }) => isPumping,
	seen: (_, __, { motorAmps, flowLph }) => ({
		motorAmps: shownOf(motorAmps, 2),
		flowLph: shownOf(flowLph, 1),
	}),
};

function proven(code: string, work: TripWork, tripMs: number, { nowMs, sensed, plan }: Scene) {
	const { motorAmps } = sensed;
	const inMs = Math.max(0, nowMs - tripMs);
	const isKnown = typeof motorAmps === "number";
	if (isKnown && motorAmps < plan.noCurrentA) {
		// A board that was away tells only later that nothing flows.
		const isLate = inMs > OFF_MS_MAX && code !== "board-lost";
		const late = `the current ended ${rounded(inMs / 1000, 1)} s after the trip`;
		return { work, end: judged(isLate ? [late] : [], { trip: code, offMs: inMs }) };
	}
	if (inMs <= OFF_MS_MAX || (!isKnown && inMs < BACK_MS)) return { work };
	const words = isKnown ? `still ${rounded(motorAmps, 2)} A` : `current ${motorAmps}`;
	return { work, end: failed([`tripped, and ${words}`]) };
}
