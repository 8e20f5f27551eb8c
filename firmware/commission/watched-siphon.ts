// Whether anything siphons after the pump has stopped: two minutes without a pulse and without a
// level that moves, and a cup under the tube's end. Pure.

import type { Quantity } from "../sense/quantity.ts";
import { endOfRun, failed, judged, rounded, type Scene } from "./trial.ts";
import type { Watch } from "./watching.ts";

interface Still {
	/** When the run had ended and the flow run out; null before it. */
	readonly sinceMs: number | null;
	readonly levelFrom: number | null;
	readonly levelTo: number | null;
	readonly pulses: number;
	readonly isDone: boolean;
}

/** The flow runs out within it, ms. */
const RUN_OUT_MS = 10_000;
const STILL_MS = 120_000;
/** A sender at rest moves less than this, share of the volume. */
const MOVED = 0.01;
const CUP_ML_MAX = 10;

const known = (value: Quantity) => (typeof value === "number" ? value : null);

export const siphon: Watch<Still> = {
	begin: { sinceMs: null, levelFrom: null, levelTo: null, pulses: 0, isDone: false },
	entries: [{ name: "cupMl", words: "what ran into the cup, mL", number: { min: 0, max: 2_000 } }],
	watch(own, scene, isOver) {
		const { nowMs, sensed, cycle } = scene;
		if (!isOver || own.isDone) return { own };
		if (cycle.context.trips.length > 0) return { own, end: failed([endOfRun(scene)]) };
		if (sensed.offMs < RUN_OUT_MS) return { own };
		const { levelFrom, levelTo } = sensed;
		if (own.sinceMs === null) {
			const levels = { levelFrom: known(levelFrom), levelTo: known(levelTo) };
			return { own: { ...own, ...levels, sinceMs: nowMs } };
		}
		const pulses = own.pulses + sensed.pulses;
		if (pulses > 0) return { own, end: failed(["the meter turned after the stop"], { pulses }) };
		if (nowMs - own.sinceMs < STILL_MS) return { own };
		const moved = Math.max(movedBy(own.levelFrom, levelFrom), movedBy(own.levelTo, levelTo));
		if (moved > MOVED) {
			return { own, end: failed([`a level moved by ${rounded(100 * moved, 1)} %`]) };
		}
		return { own: { ...own, isDone: true } };
	},
	answer(own, { cupMl }: Readonly<Record<string, number | string>>, _: Scene) {
		const ml = Number(cupMl);
		const reasons = ml <= CUP_ML_MAX ? [] : [`${ml} mL ran into the cup, over ${CUP_ML_MAX} mL`];
		return { own, end: judged(reasons, { cupMl: ml, stillSeconds: STILL_MS / 1000 }) };
	},
	asks: ({ isDone }) => (isDone ? "answer" : "wait"),
	say: ({ isDone, sinceMs }) => {
		if (isDone) return "Hold the tube's end over a cup for a minute; type what ran out.";
		return sinceMs === null ? "Wait for the run's end." : "Stay there: two minutes are watched.";
	},
};

const movedBy = (was: number | null, now: Quantity): number =>
	was === null || typeof now !== "number" ? 0 : Math.abs(now - was);
