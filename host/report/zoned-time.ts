// Times of a time zone that is named, so that paper, page and command show one and the same hour
// wherever they are made. Pure; asks the engine's own calendar (ECMA-402). Imports nothing.

const forms = new Map<string, Intl.DateTimeFormat>();

/** Of this computer, as `Europe/Paris`. */
export const zoneHere = (): string => new Intl.DateTimeFormat().resolvedOptions().timeZone;

/** As `2026-11-29 10:03`. */
export function timeIn(timeZone: string, utcMs: number): string {
	let form = forms.get(timeZone);
	if (form === undefined) {
		form = new Intl.DateTimeFormat("en-GB", {
			timeZone,
			hourCycle: "h23",
			year: "numeric",
			month: "2-digit",
			day: "2-digit",
			hour: "2-digit",
			minute: "2-digit",
		});
		forms.set(timeZone, form);
	}
	const parts = new Map(form.formatToParts(utcMs).map(({ type, value }) => [type, value]));
	const of = (type: Intl.DateTimeFormatPartTypes) => parts.get(type) ?? "";
	const date = [of("year").padStart(4, "0"), of("month"), of("day")].join("-");
	return `${date} ${of("hour")}:${of("minute")}`;
}

/** As `2026-11-29`. */
export const dayIn = (timeZone: string, utcMs: number): string =>
	timeIn(timeZone, utcMs).slice(0, 10);

/** As `2026-11`. */
export const monthIn = (timeZone: string, utcMs: number): string =>
	timeIn(timeZone, utcMs).slice(0, 7);
