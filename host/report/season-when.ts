// Times of a season in its own time zone: with what they may be off, or between what they lie.
// Pure; words come from the caller.

import { isDated, type When } from "../archive/dating.ts";
import type { Words } from "../web/words/words.ts";
import { dayIn, timeIn } from "./zoned-time.ts";

const DAY_MS = 86_400_000;
const MINUTE_MS = 60_000;

/** Null where nothing bounds it. */
export interface Bounds {
	readonly earliestUtcMs: number | null;
	readonly latestUtcMs: number | null;
}

export class Calendar {
	private readonly zone: string;
	private readonly words: Words["season"];

	constructor(zone: string, words: Words["season"]) {
		this.zone = zone;
		this.words = words;
	}

	readonly time = (utcMs: number): string => timeIn(this.zone, utcMs);

	readonly day = (utcMs: number): string => dayIn(this.zone, utcMs);

	/** To the minute where it is as sure as that; else with what it may be off. */
	when(when: When): string {
		if (isDated(when)) {
			const { utcMs, uncertaintyMs } = when;
			if (uncertaintyMs <= MINUTE_MS) return this.time(utcMs);
			return this.words.plusMinusTime(this.time(utcMs), spanOf(uncertaintyMs));
		}
		const { after, before } = when;
		const bounds = this.sides(after, before);
		return [this.words.undatedTime, ...bounds].join(", ");
	}

	sides(after: number | null, before: number | null): string[] {
		return [
			...(after === null ? [] : [this.words.after(this.time(after))]),
			...(before === null ? [] : [this.words.before(this.time(before))]),
		];
	}

	/** Days between which something lies: one of them where both are the same. */
	days({ earliestUtcMs, latestUtcMs }: Bounds): string {
		const { due } = this.words;
		if (earliestUtcMs === null && latestUtcMs === null) return due.unbounded;
		if (earliestUtcMs === null) return due.until(this.day(latestUtcMs ?? 0));
		const from = this.day(earliestUtcMs);
		if (latestUtcMs === null) return due.from(from);
		const to = this.day(latestUtcMs);
		return from === to ? from : due.span(from, to);
	}
}

/** As `2 min`, `1.5 h`, `3 d`, rounded up. */
function spanOf(ms: number): string {
	if (ms < 90 * MINUTE_MS) return `${Math.ceil(ms / MINUTE_MS)} min`;
	if (ms < 2 * DAY_MS) return `${(Math.ceil(ms / (6 * MINUTE_MS)) / 10).toFixed(1)} h`;
	return `${Math.ceil(ms / DAY_MS)} d`;
}
