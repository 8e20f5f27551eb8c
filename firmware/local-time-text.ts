// A local date and time as text, `2026-11-29T10:00`. Apart from local-time.ts, whose schemas take
// long to load, for the command line. Pure; imports nothing.

export const DATE_TIME_FORM = /^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}$/;

/** @param text as `2026-11-29T10:00` @returns NaN for a text of another form */
export const dateTimeMs = (text: string): number => Date.parse(`${text}Z`);

/** As `2026-11-29T10:00`; empty for what is no time. */
export const dateTimeText = (ms: number): string =>
	Number.isFinite(ms) ? new Date(ms).toISOString().slice(0, 16) : "";

/** Whether the calendar has a time of that form: not 30 February, not 25:00. */
export const isOnCalendar = (text: string): boolean => dateTimeText(dateTimeMs(text)) === text;
