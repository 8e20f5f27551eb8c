// An attended polish that is watched from its order to its end: how it primes and what the motor
// draws, the draw beside a clamp meter, the clean element, and whether anything siphons afterwards.
// The person orders it over the link, with the usual refusals. Pure.

import type { Proceeding } from "./steps.ts";
import { type Kind, runOf, type Scene, shownOf, WRONG_ORDER } from "./trial.ts";
import { clampAmps } from "./watched-amps.ts";
import { element } from "./watched-element.ts";
import { prime } from "./watched-prime.ts";
import { siphon } from "./watched-siphon.ts";
import type { RunWork, Watch } from "./watching.ts";

type Run = Extract<Proceeding, { kind: "run" }>;

const watches = { prime, amps: clampAmps, element, siphon } as const;
const watchOf = ({ watches: name }: Run): Watch<unknown> => watches[name];

const before = { kind: "run", orderId: null, isOver: false, hasTurned: false } as const;

export const watchedRun: Kind<Run, RunWork> = {
	begin: (goes) => ({ ...before, own: watchOf(goes).begin }),
	advance(goes, was, scene) {
		const run = runOf(was.orderId, scene);
		if (run.is === "awaited") return { work: was };
		if (run.is === "wrong") return { work: was, end: WRONG_ORDER };
		// A trip leaves the order open: nobody waits for what might still become of it.
		const isOver = run.is === "over" || scene.name === "tripped";
		const isActive = run.is === "begun" || isOver !== was.isOver;
		const hasTurned = was.hasTurned || scene.motorOn;
		const { own, end } = watchOf(goes).watch(was.own, scene, isOver);
		const work = { ...was, orderId: run.id, isOver, hasTurned, own };
		return end === undefined ? { work, isActive } : { work, isActive, end };
	},
	answer(goes, work, values, scene) {
		const { own, end } = watchOf(goes).answer?.(work.own, values, scene) ?? { own: work.own };
		return end === undefined ? { work: { ...work, own } } : { work: { ...work, own }, end };
	},
	asks: (goes, { orderId, own }) => (orderId === null ? "order" : watchOf(goes).asks(own)),
	say: (goes, { orderId, own }) => (orderId === null ? "Order it now." : watchOf(goes).say(own)),
	entries: (goes) => watchOf(goes).entries,
	isTried: (_, { hasTurned }) => hasTurned,
	seen: (_, __, { motorAmps, flowLph, vacuumKpa }: Scene["sensed"]) => ({
		motorAmps: shownOf(motorAmps, 2),
		flowLph: shownOf(flowLph, 1),
		vacuumKpa: shownOf(vacuumKpa, 1),
	}),
	waitsForRun: true,
};
