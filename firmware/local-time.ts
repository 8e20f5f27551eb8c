// What the controller knows of the time of day. It has no clock of its own that runs while it is
// off: somebody's clock is set over the link, and grows uncertain from then on. Unknown until then,
// and again when it may be off by too much. Pure: whole milliseconds, no time zones but the offset
// that was given.

import * as z from "zod";
import { DATE_TIME_FORM, isOnCalendar } from "./local-time-text.ts";

export { dateTimeMs, dateTimeText } from "./local-time-text.ts";

const MINUTE_MS = 60_000;
export const DAY_MS = 86_400_000;
/** A crystal of a small computer, ms in a ms: 100 ppm (common practice, no source). */
const DRIFT = 1e-4;
/** A time that may be further off starts nothing by itself. */
const UNSURE_MS_MAX = 5 * MINUTE_MS;

/** 2020-01-01 and 2100-01-01: whoever says another time has no clock either. */
const UTC_MS = { min: 1_577_836_800_000, max: 4_102_444_800_000 };

export const clockSchema = z.strictObject({
	utcMs: z.int().min(UTC_MS.min).max(UTC_MS.max).describe("Unix time, ms"),
	offsetMinutes: z.int().min(-840).max(840).describe("of local time, east of UTC, min"),
	uncertaintyMs: z.int().min(0).max(86_400_000).describe("how far it may be off, ms"),
});

type ClockReading = Readonly<z.infer<typeof clockSchema>>;

export interface Clock extends ClockReading {
	/** When it was set, ms since boot. */
	readonly atMs: number;
}

/** Local time as ms since the local 1970-01-01 00:00, when it was set. */
export const localWhenSet = ({ utcMs, offsetMinutes }: ClockReading): number =>
	utcMs + offsetMinutes * MINUTE_MS;

/** Local time as ms since the local 1970-01-01 00:00; null while it is unknown. */
export function localMs(clock: Clock | null, nowMs: number): number | null {
	if (clock === null) return null;
	const ageMs = nowMs - clock.atMs;
	if (clock.uncertaintyMs + ageMs * DRIFT > UNSURE_MS_MAX) return null;
	return localWhenSet(clock) + ageMs;
}

/** Time of day as `22:30`. */
export const timeOfDaySchema = z
	.string()
	.regex(/^([01]\d|2[0-3]):[0-5]\d$/, "a time of day from 00:00 to 23:59");

/** @param text as `22:30` */
export function timeOfDayMs(text: string): number {
	const [hours, minutes] = text.split(":").map(Number);
	return ((hours ?? 0) * 60 + (minutes ?? 0)) * MINUTE_MS;
}

/** A local date and time as `2026-11-29T10:00`. */
export const localDateTimeSchema = z
	.string()
	.regex(DATE_TIME_FORM, "a local time such as 2026-11-29T10:00")
	.refine(isOnCalendar, "a time that the calendar has");

export const weekdays = [
	"sunday",
	"monday",
	"tuesday",
	"wednesday",
	"thursday",
	"friday",
	"saturday",
] as const;
export type Weekday = (typeof weekdays)[number];

/** When that weekday at that time last was, at or before `ms`. */
export function lastWeekly(day: Weekday, timeOfDay: string, ms: number): number {
	// 1970-01-01 was a Thursday.
	const today = Math.floor(ms / DAY_MS);
	const daysBack = (((today + 4 - weekdays.indexOf(day)) % 7) + 7) % 7;
	const at = (today - daysBack) * DAY_MS + timeOfDayMs(timeOfDay);
	return at <= ms ? at : at - 7 * DAY_MS;
}

/** Whether a time of day is within two, the first counted and the last not; over midnight too. */
export function isWithin(ms: number, from: string, to: string): boolean {
	const now = ((ms % DAY_MS) + DAY_MS) % DAY_MS;
	const [begins, ends] = [timeOfDayMs(from), timeOfDayMs(to)];
	return begins <= ends ? now >= begins && now < ends : now >= begins || now < ends;
}
