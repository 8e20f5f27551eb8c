// Times as this device has them, in figures alone: no language is in them. Pure; imports
// nothing.

const two = (value: number): string => String(value).padStart(2, "0");

/** As `2026-11-29 10:00`. */
export function localText(utcMs: number): string {
	const date = new Date(utcMs);
	const day = `${date.getFullYear()}-${two(date.getMonth() + 1)}-${two(date.getDate())}`;
	return `${day} ${two(date.getHours())}:${two(date.getMinutes())}`;
}
