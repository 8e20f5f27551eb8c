// What is told of each scenario of the library, as text: its account and its JSON but for the
// wall's clock; and which of them two plays of the library tell differently.

import type { Controller } from "../../firmware/controller.ts";
import { type Play, type Played, playedFrom } from "../../host/cli/play.ts";
import { projectRoot } from "../../host/cli/root.ts";
import { essence } from "../../host/report/comparison.ts";
import { loadPins, loadScenario, shippedScenarios } from "../../sim/bench/load.ts";
import { type RunOptions, runScenario } from "../../sim/bench/runner.ts";

export type Texts = Readonly<Record<string, string>>;

const pins = loadPins(projectRoot);

/** Also where this file runs as built. */
export const library: readonly Play[] = shippedScenarios(projectRoot).map((file) => {
	const loaded = loadScenario(file);
	return { ...loaded, seed: loaded.scenario.seed };
});

export function textsOf(played: readonly Played[]): Texts {
	return Object.fromEntries(
		played.map(({ result, account }) => [result.scenario, `${account}${essence(result)}\n`]),
	);
}

/** One after the other, in this very process. */
export function playHere(
	plays: readonly Play[],
	spoilt: (play: Play) => Pick<RunOptions, "afterStep"> & { controller?: Controller } = () => ({}),
): Texts {
	return textsOf(
		plays.map((play) => {
			const { scenario, rig, seed } = play;
			const run = runScenario(scenario, rig, pins, { seed, ...spoilt(play) });
			return playedFrom(play, run, process.hrtime.bigint());
		}),
	);
}

/** Names of those that are not told the same, byte by byte, on both sides. */
export function differing(one: Texts, other: Texts): string[] {
	const names = [...new Set([...Object.keys(one), ...Object.keys(other)])];
	return names.filter((name) => one[name] !== other[name]);
}
