// A campaign's failing run as a scenario that the bench plays to the same failure: what people did
// stands in it act by act, at its tick. Where the order did not finish, the file says instead that
// somebody sees to it: fixed acts would not suit a controller that has been put right. Pure.

import type { z } from "zod";
import { isCounted } from "../invariants.ts";
import type { scenarioSchema } from "../scenario.ts";
import { TICK_MS } from "../session.ts";
import { type Failure, LIVENESS } from "./seed-run.ts";
import type { Failing } from "./shrink.ts";

/** As a person writes it: what is left out has its default. */
export type ScenarioInput = z.input<typeof scenarioSchema>;

/** The bench goes on for so long after what it waits for, s. */
const AFTER_S = 60;

/** @param rigFile its path, from the scenario's folder */
export function asScenario({ run, failure }: Failing, rigFile: string): ScenarioInput {
	const { story, mendedS, lastS } = run;
	const { scenario } = story;
	const { invariant, atSeconds } = failure;
	const isLiveness = invariant === LIVENESS;
	const acts = isLiveness ? run.actsToMend : run.acts;
	const by = <Entry extends { atSeconds: number }>(entries: readonly Entry[]) =>
		entries.filter((entry) => isLiveness || entry.atSeconds <= atSeconds);
	const struckBy = isLiveness ? mendedS : atSeconds;
	const crew = by(acts.crew).filter(({ does }) => does !== "see-to-it");
	return {
		title: `Seed ${story.seed}: ${words(invariant)}`,
		story: `Drawn by a campaign with seed ${story.seed}, then made smaller as long as it failed.`,
		invented: true,
		rig: rigFile,
		seed: story.seed,
		start: scenario.start,
		orders: [...scenario.orders, ...by(acts.orders)],
		crew: isLiveness ? [...crew, { atSeconds: mendedS, does: "see-to-it" }] : crew,
		weather: by(acts.weather),
		faults: scenario.faults.filter(({ fault }) => (run.run.happened[fault] ?? lastS) <= struckBy),
		hoursMax: hoursMaxOf(failure, lastS),
		expect: [isLiveness ? { outcome: "finished" } : { invariant }],
	};
}

const words = (invariant: Failure["invariant"]): string =>
	invariant === LIVENESS ? "does the order finish after repair?" : invariant;

function hoursMaxOf({ invariant, atSeconds }: Failure, lastS: number): number {
	if (invariant === LIVENESS) return Math.ceil(lastS / 36) / 100;
	// What is counted up to the end is counted up to that very tick; rounded up to it.
	if (isCounted(invariant)) return (atSeconds - TICK_MS / 2_000) / 3_600;
	return Math.ceil((atSeconds + AFTER_S) / 36) / 100;
}
