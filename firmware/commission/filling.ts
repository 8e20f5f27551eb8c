// Attended polishes into a measuring can: each run's pulses, and what the person reads of the can
// and of a stopwatch, make a fill. fills.ts judges them; earlier fills count, also over a restart.
// Pure.

import { lacking, verdictOf } from "./fills.ts";
import type { Entry, Proceeding } from "./steps.ts";
import {
	endOfRun,
	gaveUp,
	type Kind,
	type Move,
	runOf,
	type Scene,
	shownOf,
	WRONG_ORDER,
} from "./trial.ts";

type Fills = Extract<Proceeding, { kind: "fills" }>;

export interface FillWork {
	readonly kind: "fills";
	/** The fills that there were have been looked at. */
	readonly isBegun: boolean;
	readonly orderId: string | null;
	readonly pulses: number;
	/** The run has ended and its last fuel run out: the can is read. */
	readonly isFilled: boolean;
	/** What is still wanted, in words. */
	readonly lacks: string;
}

/** The flow runs out within it, ms. */
const RUN_OUT_MS = 5_000;

const entries: readonly Entry[] = [
	{ name: "litres", words: "what is in the can, L", number: { min: 0.2, max: 100 } },
	{
		name: "litresUncertainty",
		words: "how well you can read that: the standard uncertainty, L",
		number: { min: 0.001, max: 5 },
	},
	{ name: "seconds", words: "the stopwatch, s", number: { min: 2, max: 20_000 } },
];

const idle = { isBegun: true, orderId: null, pulses: 0, isFilled: false } as const;

export const filling: Kind<Fills, FillWork> = {
	begin: () => ({ ...idle, kind: "fills", isBegun: false, lacks: "" }),
	advance(_, before, scene) {
		const { plan, fills, sensed, cycle } = scene;
		// Also after each fill, and after one that a person has struck.
		const lacks = lacking(fills, plan.rig);
		let work = before;
		if (!before.isBegun || before.lacks !== lacks) {
			work = { ...before, isBegun: true, lacks };
			const end = before.orderId === null ? verdictOf(fills, plan.rig) : null;
			if (end !== null) return { work, end };
		}
		if (work.isFilled) return { work };
		const run = runOf(work.orderId, scene);
		if (run.is === "awaited") return { work };
		if (run.is === "wrong") return { work, end: WRONG_ORDER };
		if (run.is === "begun") {
			return { work: { ...work, orderId: run.id, pulses: sensed.pulses }, isActive: true };
		}
		const pulses = work.pulses + sensed.pulses;
		// A trip leaves the order open, and the can half full.
		if (cycle.context.trips.length > 0) {
			return { work, end: gaveUp("trip", `the fill ended: ${endOfRun(scene)}`) };
		}
		if (run.is === "at work") return { work: { ...work, pulses } };
		const isFilled = sensed.offMs >= RUN_OUT_MS;
		// No factor comes of it, only a division by nothing.
		if (isFilled && pulses === 0) return { work, end: gaveUp("order", "the meter gave no pulse") };
		return { work: { ...work, pulses, isFilled }, isActive: isFilled };
	},
	answer: (_, work, values): Move<FillWork> => ({
		work: { ...work, ...idle, lacks: "" },
		fill: {
			pulses: work.pulses,
			litres: Number(values.litres),
			litresUncertainty: Number(values.litresUncertainty),
			seconds: Number(values.seconds),
		},
	}),
	asks: (_, { orderId, isFilled }) => {
		if (isFilled) return "answer";
		return orderId === null ? "order" : "wait";
	},
	say: (_, { orderId, isFilled, lacks }) => {
		if (isFilled) return "Read the can and the stopwatch, and type them.";
		if (orderId !== null) return "Stop the watch when the flow ends.";
		return `Empty the can and order a fill. Wanted: ${lacks}.`;
	},
	entries: () => entries,
	// A fill more or less is neither way: those that there are stay.
	isTried: () => false,
	seen: (_, { pulses }, { flowLph }: Scene["sensed"]) => ({ pulses, flowLph: shownOf(flowLph, 1) }),
	waitsForRun: true,
};
