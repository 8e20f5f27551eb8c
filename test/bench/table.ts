// What the benchmarks print: columns of figures with their goals, and the medians that they show.
// Imports nothing.

export interface Figure {
	readonly what: string;
	readonly shown: string;
	/** `NO_GOAL` where none is set. */
	readonly goal: string;
	readonly met: boolean;
	/** What was measured beside it in the same minutes, and how the two compare. */
	readonly peer?: string | undefined;
	readonly ratio?: number | undefined;
}

export const NO_GOAL = "none";

/** The middle one; of an even number the mean of the two. */
export function median(values: readonly number[]): number {
	const sorted = [...values].sort((a, b) => a - b);
	const at = (index: number) => sorted[index] ?? Number.NaN;
	const half = (sorted.length - 1) / 2;
	return (at(Math.floor(half)) + at(Math.ceil(half))) / 2;
}

/** The value that so great a share of them does not exceed; 0 of none. */
export function percentile(values: readonly number[], share: number): number {
	const sorted = [...values].sort((a, b) => a - b);
	return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? 0;
}

/** Rows in columns: the first to the left, numbers to the right. */
export function columns(rows: readonly (readonly string[])[]): string {
	const widths = (rows[0] ?? []).map((_, i) =>
		Math.max(...rows.map((row) => (row[i] ?? "").length)),
	);
	const line = (row: readonly string[]) =>
		row
			.map((cell, i) => (i === 0 ? cell.padEnd(widths[i] ?? 0) : cell.padStart(widths[i] ?? 0)))
			.join("  ");
	return rows.map(line).join("\n");
}

export const verdict = ({ what, shown, goal, met }: Figure): string =>
	goal === NO_GOAL
		? `${what}: ${shown}`
		: `${what}: ${shown}; goal ${goal}: ${met ? "met" : "missed"}`;

/** One figure a row: the head of `figureCells`. */
export const figureHead = ["what", "value", "goal", "beside", "ratio", "met"] as const;

export function figureCells({ what, shown, goal, met, peer, ratio }: Figure): string[] {
	const verdictWord = goal === NO_GOAL ? "" : met ? "yes" : "no";
	return [what, shown, goal, peer ?? "", ratio === undefined ? "" : ratio.toFixed(2), verdictWord];
}
