// Makes a failing story smaller: greedy delta debugging (Zeller and Hildebrandt, Simplifying and
// Isolating Failure-Inducing Input, IEEE Trans. Softw. Eng. 28, 2002; from memory) in the terms of
// the rig. Each candidate is played again, and kept where the same invariant still breaks, and only
// with a fault if the first needed one; an order must end in the same way. Bounded by plays and by
// simulated hours, never by a clock, so that the same seed shrinks to the same.

import type { Rig } from "../../../firmware/config/rig.ts";
import { isCounted } from "../invariants.ts";
import { outcomeOf } from "../judge.ts";
import { type Failure, LIVENESS, type SeedOptions, type SeedRun } from "./seed-run.ts";
import { steps } from "./smaller.ts";
import type { Story } from "./story-draw.ts";

/** About a minute's work on one core, at some 6,000 times real time. */
const PLAYS_MAX = 200;
const HOURS_MAX = 100;
/** A candidate may take so much longer until it breaks, s. */
const LATER_S = 1_800;
export type Play = (story: Story, until: SeedOptions["until"]) => SeedRun;

/** A failing run, and which of its failures it is about. */
export interface Failing {
	readonly run: SeedRun;
	readonly failure: Failure;
}

export interface Shrunk extends Failing {
	readonly plays: number;
	/** Nothing smaller was left to try. */
	readonly isDone: boolean;
}

/** @param usual a rig whose parts anybody knows: the example rig */
export function shrink(found: Failing, usual: Rig, play: Play): Shrunk {
	const search = new Search(found, play);
	while (search.pass(usual)) if (search.isSpent) break;
	return { ...search.best, plays: search.plays, isDone: !search.isSpent };
}

class Search {
	best: Failing;
	plays = 0;
	private hours = 0;
	private readonly tried = new Set<string>();
	private readonly playStory: Play;
	/** What fails without a fault as well is another story: such candidates are left out. */
	private readonly needsFaults: boolean;
	/** Of an order that does not finish: how it ended instead. */
	private readonly outcome: string;

	constructor(found: Failing, playStory: Play) {
		this.best = found;
		this.playStory = playStory;
		this.outcome = outcomeOf(found.run.run);
		this.needsFaults = !this.breaksUnbroken(found.run.story);
	}

	get isSpent(): boolean {
		return this.plays >= PLAYS_MAX || this.hours >= HOURS_MAX;
	}

	/** All steps once, each for as long as it gains. @returns whether anything was gained */
	pass(usual: Rig): boolean {
		let hasGained = false;
		for (const step of steps) {
			while (step(this.best.run.story, usual).some((story) => this.keeps(story))) {
				hasGained = true;
			}
		}
		return hasGained;
	}

	/** Whether the candidate shows the same, and is the best from now on. */
	private keeps(story: Story): boolean {
		if (this.isSpent || !this.isNew(story)) return false;
		if (this.needsFaults && story.scenario.faults.length === 0) return false;
		const found = this.failing(story);
		if (found === null || (this.needsFaults && this.breaksUnbroken(story))) return false;
		this.best = found;
		return true;
	}

	private isNew(story: Story): boolean {
		const text = textOf(story);
		if (text === textOf(this.best.run.story) || this.tried.has(text)) return false;
		this.tried.add(text);
		return true;
	}

	private breaksUnbroken(story: Story): boolean {
		return this.failing({ ...story, scenario: { ...story.scenario, faults: [] } }) !== null;
	}

	/** The story played, with the failure in it that is looked for; null: it is not there. */
	private failing(story: Story): Failing | null {
		const { invariant, atSeconds } = this.best.failure;
		const latestS = atSeconds + LATER_S;
		const isAtEnd = invariant === LIVENESS || isCounted(invariant);
		const run = this.play(story, isAtEnd ? undefined : { invariant, latestS });
		const failure = run.failures.find((one) => one.invariant === invariant);
		const isOther = invariant === LIVENESS && outcomeOf(run.run) !== this.outcome;
		return failure === undefined || isOther ? null : { run, failure };
	}

	private play(story: Story, until: SeedOptions["until"]): SeedRun {
		const run = this.playStory(story, until);
		this.plays += 1;
		this.hours += run.run.simulatedSeconds / 3_600;
		return run;
	}
}

const textOf = (story: Story) => JSON.stringify(story);
