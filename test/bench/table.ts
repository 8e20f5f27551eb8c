// What the benchmarks print: columns of figures with their goals, and the medians that they show.
// Imports nothing.

export interface Figure {
	readonly what: string;
	readonly shown: string;
	readonly goal: string;
	readonly met: boolean;
}

/** The middle one; of an even number the mean of the two. */
export function median(values: readonly number[]): number {
	const sorted = [...values].sort((a, b) => a - b);
	const at = (index: number) => sorted[index] ?? Number.NaN;
	const half = (sorted.length - 1) / 2;
	return (at(Math.floor(half)) + at(Math.ceil(half))) / 2;
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
	`${what}: ${shown}; goal ${goal}: ${met ? "met" : "missed"}`;
