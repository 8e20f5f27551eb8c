// What a pull says of itself: progress while it runs, and what it got at the end. Pure: elapsed
// time is an argument.

import type { DatedBoots } from "../archive/dated-boots.ts";
import type { Pulled } from "../archive/pull.ts";
import { clock } from "./account.ts";

/**
 * As `record 1200 of 86400  1.2 kB  10.9 kB/s  2:10 left`, then `window 2 of 5  …`.
 * @param elapsedMs on this line
 */
export function progressWords(
	{ records, lastSeq, durableSeq, bytes, windows, windowsWanted }: Pulled,
	elapsedMs: number,
): string {
	const seconds = elapsedMs / 1000;
	if (windows < windowsWanted) {
		const rate = seconds < 1 ? [] : [`${sizeWords(bytes / seconds)}/s`];
		const window = `window ${windows + 1} of ${windowsWanted}`;
		return [window, sizeWords(bytes), ...rate].join("  ");
	}
	const parts = [`record ${lastSeq} of ${Math.max(lastSeq, durableSeq)}`, sizeWords(bytes)];
	if (seconds >= 1) {
		parts.push(`${sizeWords(bytes / seconds)}/s`);
		const left = durableSeq - lastSeq;
		if (records > 0 && left > 0) parts.push(`${clock((left / records) * elapsedMs)} left`);
	}
	return parts.join("  ");
}

/** Bytes in a unit that reads well. */
function sizeWords(bytes: number): string {
	if (bytes < 1_000) return `${bytes.toFixed(0)} B`;
	return bytes < 1e6 ? `${(bytes / 1e3).toFixed(1)} kB` : `${(bytes / 1e6).toFixed(1)} MB`;
}

/** What it got, whether it is all there is, and which boots have a date. */
export function pulledWords(pulled: Pulled, file: string, dates: DatedBoots): string[] {
	const { rig, records, samples, runs, trips, lastSeq, durableSeq, isComplete } = pulled;
	const what =
		`${rig}: ${counted(records, "new record")} (${counted(samples, "sample")}, ` +
		`${counted(runs, "run")}, ${counted(trips, "trip")}), up to record ${lastSeq}, in ${file}`;
	const { windows, windowsWanted } = pulled;
	const left = durableSeq - lastSeq;
	const inputs =
		windows === 0 ? [] : [`${counted(windows, "window")} of tick inputs for \`lees replay\`.`];
	const rest = isComplete
		? []
		: left <= 0 && windowsWanted > windows
			? [
					`Ended early: ${counted(windowsWanted - windows, "window")} of tick inputs still ` +
						"aboard. Pull again: it goes on there.",
				]
			: [
					`Ended early: ${lastSeq === 0 ? "nothing" : `all up to record ${lastSeq}`} is kept, ` +
						`${counted(Math.max(0, left), "record")} still aboard. Pull again: it goes on there.`,
				];
	const { dated, undated } = dates;
	const boots = [
		...(dated.length === 0 ? [] : [`Dated: ${bootWords(dated)}.`]),
		...(undated.length === 0
			? []
			: [
					`Undated: ${bootWords(undated)}, where nobody told the time. ` +
						"Run `lees clock PORT` after each start of the controller.",
				]),
	];
	return [what, ...inputs, ...rest, ...boots];
}

/** For a pull that failed: what it got all the same. */
export function keptWords({ records, lastSeq }: Pulled, file: string): string {
	return `${counted(records, "new record")}, up to record ${lastSeq}, kept in ${file}`;
}

const counted = (count: number, noun: string) => `${count} ${noun}${count === 1 ? "" : "s"}`;

/** As `boots 1 to 3, 7`. */
function bootWords(boots: readonly number[]): string {
	const spans: Array<[number, number]> = [];
	for (const boot of boots) {
		const last = spans.at(-1);
		if (last !== undefined && last[1] === boot - 1) last[1] = boot;
		else spans.push([boot, boot]);
	}
	const words = spans.map(([from, to]) => (from === to ? `${from}` : `${from} to ${to}`));
	return `${boots.length === 1 ? "boot" : "boots"} ${words.join(", ")}`;
}
