// A session so far as a scenario that the bench plays to the same run: the scenario that it began
// with, all that was done beside it at its tick, and what came of it as expectations. Pure.

import type { ScenarioInput } from "./campaign/as-scenario.ts";
import type { Acts } from "./crew.ts";
import { endings } from "./endings.ts";
import { sumUp } from "./judge.ts";
import type { Expectation } from "./scenario.ts";
import { type BenchRun, TICK_MS } from "./session.ts";

/** Sines and exponentials of another engine differ in their last bits; litres by far less. */
const LITRES_SHARE = 1e-3;

/** Characters of a story. */
const STORY_MAX = 1_000;

/** The longest that a scenario may last, ms. */
export const LASTS_MS_MAX = 200 * 3_600_000;

interface Played {
	/** As it stands at the end of a tick. */
	readonly run: BenchRun;
	/** What was done that its scenario does not say. */
	readonly acts: Acts;
	readonly title: string;
	readonly story: string;
	/** The rig's name or path, as the file is to say it. */
	readonly rigFile: string;
}

/** To be called after one tick or more, and before LASTS_MS_MAX. */
export function playedScenario({ run, acts, title, story, rigFile }: Played): ScenarioInput {
	const { scenario, seed, simulatedSeconds } = run;
	const endMs = Math.round(1_000 * simulatedSeconds);
	// In the middle of the last tick, so that rounding ends it at that very one.
	const hoursMax = Number(((endMs - TICK_MS / 2) / 3_600_000).toFixed(7));
	// A rig at rest would end the story before what came later.
	const lastAct = { atSeconds: (endMs - TICK_MS) / 1_000, does: "look-on" } as const;
	return {
		...scenario,
		title,
		story: `${story} ${seenWords(run)}`.slice(0, STORY_MAX),
		rig: rigFile,
		seed,
		orders: [...scenario.orders, ...acts.orders],
		crew: [...scenario.crew, ...acts.crew, lastAct],
		weather: [...scenario.weather, ...acts.weather],
		faults: [...scenario.faults, ...acts.faults],
		hoursMax,
		expect: seenIn(run),
	};
}

/** When each trip came, for whoever compares: the expectations tell their order. */
function seenWords({ records }: BenchRun): string {
	const trips = records.flatMap((record) => (record.kind === "trip" ? [record] : []));
	if (trips.length === 0) return "No trip came.";
	const told = trips.map(({ code, monoMs }) => `${code} at ${(monoMs / 1_000).toFixed(1)} s`);
	return `Trips: ${told.join(", ")}.`;
}

function seenIn(run: BenchRun): Expectation[] {
	const { outcome, truth, logged } = sumUp("", run, 0);
	const trips = run.records.flatMap((record) => (record.kind === "trip" ? [record.code] : []));
	const about = (litres: number) => ({
		atLeast: Number((litres * (1 - LITRES_SHARE)).toPrecision(6)),
		// A drop, where nothing was pumped.
		atMost: Number((litres * (1 + LITRES_SHARE) + 1e-4).toPrecision(6)),
	});
	const ending = endings.find((one) => one === outcome);
	return [
		...(ending === undefined ? [] : [{ outcome: ending }]),
		{ trips },
		{ truth: "litresThroughPump", ...about(truth.litresThroughPump) },
		{ logged: "litres", ...about(logged.litres) },
	];
}
