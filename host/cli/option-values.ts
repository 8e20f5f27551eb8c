// What a user types as an option's value, checked: numbers and local times. Imports commander for
// its complaint, which names the option.

import { InvalidArgumentError } from "commander";
import { DATE_TIME_FORM, isOnCalendar } from "../../firmware/local-time-text.ts";

export function number(text: string): number {
	const value = Number(text);
	if (text.trim() === "" || !Number.isFinite(value)) {
		throw new InvalidArgumentError("a number is needed.");
	}
	return value;
}

export function positive(text: string): number {
	const value = number(text);
	if (value < 0) throw new InvalidArgumentError("a number from 0 on is needed.");
	return value;
}

export function wholeNumber(text: string): number {
	const value = Number(text);
	if (!/^\d+$/.test(text) || value > 2 ** 31 - 1) {
		throw new InvalidArgumentError("a whole number from 0 to 2147483647 is needed.");
	}
	return value;
}

/** Local time of this computer as 2026-11-29T10:00, to Unix time, ms. */
export function localTime(text: string): number {
	if (!DATE_TIME_FORM.test(text) || !isOnCalendar(text)) {
		throw new InvalidArgumentError("a local time such as 2026-11-29T10:00 is needed.");
	}
	return new Date(text).getTime();
}

export function seconds(text: string): number {
	const value = number(text);
	if (value < 0 || value > 86_400) throw new InvalidArgumentError("0 to 86400 seconds.");
	return value;
}

export function minutes(text: string): number {
	const value = number(text);
	if (value < 1 || value > 10_000) throw new InvalidArgumentError("1 to 10000 minutes.");
	return value;
}

export function commandId(text: string): string {
	if (!/^[\x21-\x7e]{1,64}$/.test(text)) {
		throw new InvalidArgumentError("1 to 64 characters without spaces, as it was told.");
	}
	return text;
}

export function yesOrNo(text: string): boolean {
	if (text !== "yes" && text !== "no") throw new InvalidArgumentError("yes or no is needed.");
	return text === "yes";
}

/** Names between commas. */
export const names = (text: string): string[] => text.split(",").map((name) => name.trim());
