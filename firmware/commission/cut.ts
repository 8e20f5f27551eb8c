// K2 is opened in an attended polish, and the motor's current timed. By the beat: the controller
// holds it still while K1 stays closed. By hand: a stop is used whose second pole has the test plug
// in its place, so that the computer sees nothing and yet the current must end. Pure.

import type { Step } from "./step-ways.ts";
import { type Proceeding, RELEASE_MS_MAX } from "./steps.ts";
import {
	endOfRun,
	failed,
	judged,
	type Kind,
	type Move,
	rounded,
	runOf,
	type Scene,
	shownOf,
	WRONG_ORDER,
} from "./trial.ts";

type Cut = Extract<Proceeding, { kind: "cut" }>;

export interface CutWork {
	readonly kind: "cut";
	readonly orderId: string | null;
	/** The pump's time on fuel, ms. */
	readonly fuelMs: number;
	/** What the motor drew just before. */
	readonly amps: number;
	/** When the beat changed last; null until it is held still. */
	readonly edgeMs: number | null;
	/** Readings in a row without current. */
	readonly still: number;
}

/** It has pumped for so long before anything is cut, ms. */
const PUMPED_MS = 10_000;
/** A current that goes on for longer after the last edge is a contact that holds, ms. */
const STUCK_MS = 2_000;
/** One reading may be a slip of the line. */
const STILL_COUNT = 2;

const begun: CutWork = { kind: "cut", orderId: null, fuelMs: 0, amps: 0, edgeMs: null, still: 0 };

export const cut: Kind<Cut, CutWork> = {
	begin: () => begun,
	advance(goes, before, scene, step) {
		const run = runOf(before.orderId, scene);
		if (run.is === "awaited") return { work: before };
		if (run.is === "wrong") return { work: before, end: WRONG_ORDER };
		const work = { ...before, orderId: run.id };
		if (run.is === "begun") return { work, isActive: true };
		if (goes.by === "hand") {
			const seen = loopsSeen(step, scene);
			// A plug that is out shows itself by the trip that it makes.
			if (seen !== null) return { work, end: failed([seen]) };
		}
		if (run.is === "over" || scene.name === "tripped") {
			return { work, end: failed([endOfRun(scene)]) };
		}
		if (!scene.motorOn || scene.name !== "polishing") {
			// What held the run opened K1 as well: nothing is known of K2, and no beat comes back for it.
			return work.edgeMs === null
				? { work }
				: { work, end: failed(["the run was held meanwhile"]) };
		}
		const { motorAmps } = scene.sensed;
		if (work.edgeMs !== null) return timed(work, work.edgeMs, scene);
		const fuelMs = work.fuelMs + scene.nowMs - scene.beforeMs;
		const isDrawing = typeof motorAmps === "number" && motorAmps >= scene.plan.noCurrentA;
		const amps = isDrawing ? rounded(motorAmps, 2) : work.amps;
		const pumped = { ...work, fuelMs, amps };
		if (fuelMs < PUMPED_MS) return { work: pumped };
		if (goes.by === "hand") return byHand(pumped, isDrawing, scene);
		if (!isDrawing) return { work: pumped, end: failed(["the motor's current is not known"]) };
		return { work: { ...pumped, edgeMs: scene.beforeMs }, holdsBeat: true };
	},
	asks: ({ by }, { orderId, fuelMs }) => {
		if (orderId === null) return "order";
		return by === "hand" && fuelMs >= PUMPED_MS ? "act" : "wait";
	},
	say: ({ by }, { orderId, fuelMs, edgeMs }) => {
		if (orderId === null) return "Order it now.";
		if (edgeMs !== null) return "The beat stands still: the current is timed.";
		if (fuelMs < PUMPED_MS) return "Wait until it has pumped for ten seconds.";
		return by === "hand" ? "Do it now, and leave it so." : "The beat is about to stop.";
	},
	entries: () => [],
	isTried: ({ by }, { fuelMs, edgeMs }) => (by === "hand" ? fuelMs >= PUMPED_MS : edgeMs !== null),
	seen: (_, { fuelMs }, { motorAmps }) => ({
		motorAmps: shownOf(motorAmps, 2),
		pumpedSeconds: Math.floor(fuelMs / 1000),
	}),
};

/** After the last edge: the current must end, and then the run does, as at any loss of current. */
function timed(work: CutWork, edgeMs: number, scene: Scene): Move<CutWork> {
	const { nowMs, sensed, plan } = scene;
	const { motorAmps } = sensed;
	const inMs = nowMs - edgeMs;
	const values = { releaseMs: inMs, amps: work.amps };
	if (typeof motorAmps === "number" && motorAmps < plan.noCurrentA) {
		const late = `K2 let go after ${inMs} ms, over ${RELEASE_MS_MAX} ms`;
		const reasons = inMs <= RELEASE_MS_MAX ? [] : [late];
		return { work, end: judged(reasons, values), event: stopped(nowMs, "the beat was held still") };
	}
	if (inMs < STUCK_MS) return { work };
	const isKnown = typeof motorAmps === "number";
	const cause = isKnown
		? "current although the beat was held still for 2 s: K2 did not let go"
		: "nothing known of the current while the beat was held still: take K2 for welded";
	const event = { type: "alarm", atMs: nowMs, code: "relay-stuck", cause } as const;
	return { work, end: failed([cause], { amps: work.amps }), event };
}

function byHand(work: CutWork, isDrawing: boolean, { sensed, nowMs }: Scene): Move<CutWork> {
	if (typeof sensed.motorAmps !== "number") return { work };
	if (isDrawing) return { work: work.still === 0 ? work : { ...work, still: 0 } };
	const still = work.still + 1;
	if (still < STILL_COUNT) return { work: { ...work, still } };
	// K2 must not close again under a beat that goes on, when the stop is let go.
	const event = stopped(nowMs, "a stop was used with the test plug in");
	const end = judged([], { amps: work.amps });
	return { work: { ...work, still }, holdsBeat: true, event, end };
}

/** As the motor's own row would have it, a second and a half later. */
const stopped = (atMs: number, why: string) =>
	({ type: "trouble", atMs, code: "no-current", cause: `commissioning: ${why}` }) as const;

/** Why the computer sees of the stop what it must not see; null while it sees nothing of it. */
function loopsSeen(step: Step, { sensed }: Scene): string | null {
	const value = step === "return-cuts" ? sensed.returnSeat : sensed.stop;
	if (value === "made") return null;
	return `the computer saw it (${value}): put the test plug in`;
}
