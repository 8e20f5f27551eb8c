// What a smaller story must share with the drawn one: a failure that needed a fault needs one
// still, and an order that did not finish ends in the same way. The plays are made up, so that only
// the search is judged.

import { describe, expect, it } from "vitest";
import {
	type Failure,
	LIVENESS,
	playSeed,
	type SeedRun,
} from "../../sim/bench/campaign/seed-run.ts";
import { type Play, shrink } from "../../sim/bench/campaign/shrink.ts";
import type { Story } from "../../sim/bench/campaign/story-draw.ts";
import { exampleRig, pins } from "../stories/world.ts";

/** Somebody's run; what is wrong with it is made up. */
const drawn = playSeed(3, pins, { hoursMax: 0.2 });

function ended(story: Story, invariant: Failure["invariant"] | null, hung: boolean): SeedRun {
	const failures =
		invariant === null ? [] : [{ seed: story.seed, invariant, atSeconds: 100 } satisfies Failure];
	return { ...drawn, story, run: { ...drawn.run, hung, simulatedSeconds: 1 }, failures };
}

const faultsOf = ({ scenario }: Story) => scenario.faults.length;
const isCalm = ({ scenario }: Story) => scenario.start.sea === undefined;

function shrunk(play: Play, story: Story) {
	const run = play(story, undefined);
	const [failure] = run.failures;
	if (failure === undefined) throw new Error("no failure");
	return shrink({ run, failure }, exampleRig(), play).run;
}

const sea = drawn.story.scenario.start.sea ?? { rollDeg: 10, periodS: 5 };
const rough: Story = {
	...drawn.story,
	scenario: {
		...drawn.story.scenario,
		start: { ...drawn.story.scenario.start, sea },
	},
};

describe("a smaller story", () => {
	it.each<Failure["invariant"]>(["no spill", "litres as pumped", LIVENESS])(
		"that breaks %s without its faults as well is none where the drawn one needs them",
		(invariant) => {
			// In a calm sea it fails whatever the faults are: another defect of the same name.
			const play: Play = (story) =>
				ended(story, faultsOf(story) > 0 || isCalm(story) ? invariant : null, false);
			const { story } = shrunk(play, rough);
			expect(faultsOf(story)).toBe(1);
			expect(isCalm(story)).toBe(false);
		},
	);

	it("may lose all faults where the drawn one fails without them", () => {
		const { story } = shrunk((one) => ended(one, "no spill", false), rough);
		expect(faultsOf(story)).toBe(0);
	});

	it("of an order that does not finish ends as the drawn one did", () => {
		// In a calm sea the controller dies instead.
		const play: Play = (story) =>
			ended(story, faultsOf(story) > 0 ? LIVENESS : null, isCalm(story));
		expect(isCalm(shrunk(play, rough).story)).toBe(false);
	});
});
