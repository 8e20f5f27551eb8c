// What a score is: one detector or stop, measured against the simulator's truth, with its goals.
// A score's module exports one `Score`; test/score/scores.ts lists them. Figures are numbers by
// name, so that scores.json can be read by anybody and judged again without a run.

export type Figures = Readonly<Record<string, number>>;

/** A figure and what it must be: at most, at least, or both. Without either it is only told. */
export interface Goal {
	/** Name of the figure, unit last. */
	readonly figure: string;
	readonly atMost?: number | undefined;
	readonly atLeast?: number | undefined;
	/** What the figure is, in words. */
	readonly words: string;
}

export interface Measured {
	readonly figures: Figures;
	/** Drawings by file name, kept beside scores.json. */
	readonly drawings?: Readonly<Record<string, string>>;
}

export interface Score {
	/** Its key in scores.json, kebab-case. */
	readonly name: string;
	readonly title: string;
	/** Files, from the project's root, whose text decides of the figures: hashed. */
	readonly measures: readonly string[];
	readonly goals: readonly Goal[];
	run(): Promise<Measured>;
}

/** In words, one for each goal that is missed; a figure that is not there is a miss. */
export function missesOf(goals: readonly Goal[], figures: Figures): string[] {
	return goals.flatMap(({ figure, atMost = Infinity, atLeast = -Infinity, words }) => {
		const found = figures[figure];
		if (found === undefined) return [`${figure}: not measured`];
		if (found <= atMost && found >= atLeast) return [];
		return [`${figure} is ${found}, not ${wanted(atLeast, atMost)}: ${words}`];
	});
}

function wanted(atLeast: number, atMost: number): string {
	const low = atLeast === -Infinity ? [] : [`at least ${atLeast}`];
	const high = atMost === Infinity ? [] : [`at most ${atMost}`];
	return [...low, ...high].join(" and ");
}
