// Times in the words of tables: local time of this computer with what it may be off, or between
// what a time lies that nobody dated. Pure but for the computer's time zone.

import { type Bounds, isDated, type When } from "../archive/dating.ts";

const two = (value: number): string => String(value).padStart(2, "0");

/** As `2026-11-29 10:03`, local. */
export function localText(utcMs: number): string {
	const at = new Date(utcMs);
	const date = [at.getFullYear(), two(at.getMonth() + 1), two(at.getDate())].join("-");
	return `${date} ${two(at.getHours())}:${two(at.getMinutes())}`;
}

/** As `2 s`, `3 min`, `1.5 h`, rounded up. */
export function spanText(ms: number): string {
	if (ms < 90_000) return `${Math.ceil(ms / 1000)} s`;
	if (ms < 5_400_000) return `${Math.ceil(ms / 60_000)} min`;
	const hours = ms / 3_600_000;
	return hours < 48 ? `${(Math.ceil(hours * 10) / 10).toFixed(1)} h` : `${Math.ceil(hours / 24)} d`;
}

/** @param between what stands between its parts: a line break, or a blank */
export function whenText(when: When, between = " "): string {
	if (!isDated(when)) return boundsText(when, between);
	return `${localText(when.utcMs)} ± ${spanText(when.uncertaintyMs)}`;
}

function boundsText({ after, before }: Bounds, between: string): string {
	const parts = ["undated"];
	if (after !== null) parts.push(`after ${localText(after)}`);
	if (before !== null) parts.push(`before ${localText(before)}`);
	return parts.join(`,${between}`);
}

/** Offset of this computer's local time as `UTC+01:00`. */
export function zoneText(utcMs: number): string {
	const minutes = -new Date(utcMs).getTimezoneOffset();
	const sign = minutes < 0 ? "-" : "+";
	const size = Math.abs(minutes);
	return `UTC${sign}${two(Math.floor(size / 60))}:${two(size % 60)}`;
}
