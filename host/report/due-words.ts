// When a tank is next due, and why, in words: the first reason to fall due comes first. Pure; words
// come from the caller.

import type { NextDue } from "../archive/due-schema.ts";
import type { Teller } from "./season-tables.ts";
import { plain } from "./season-units.ts";

export function dueText(due: NextDue, { words, calendar }: Teller): string {
	const span = calendar.days(due);
	if (due.status === "under-way") return words.due.underWay;
	const what = words.due.what[due.what];
	if (due.status === "now") return `${what}: ${words.due.now}`;
	return `${what}: ${due.status === "maybe" ? words.due.maybe(span) : span}`;
}

/** All reasons, the first to fall due first. */
export const dueReasons = ({ reasons }: NextDue, teller: Teller): string =>
	reasons.map((reason) => dueReason(reason, teller)).join("; ");

type Reason = NextDue["reasons"][number];

function dueReason(reason: Reason, teller: Teller): string {
	const { words, calendar } = teller;
	const { code, cause, days } = reason;
	const when = cause === null ? "" : calendar.days(cause);
	const after = plain(days);
	const why = {
		never: () => words.reasons.never,
		standing: () => words.reasons.standing(when, after),
		uplift: () => words.reasons.uplift(when, turnoversText(reason, teller), after),
		water: () => words.reasons.water(when, after),
		sample: () =>
			words.reasons.sample(
				when,
				words.looks[reason.looked ?? "dirt"],
				turnoversText(reason, teller),
			),
		dose: () => words.reasons.dose(when, after),
	}[code]();
	return reason.isSure ? why : words.reasons.maybe(why);
}

function turnoversText({ turnovers, turnoversMaybe }: Reason, { words }: Teller): string {
	const sure = (turnovers ?? 0).toFixed(1);
	const maybe = turnoversMaybe ?? 0;
	if (maybe === 0) return words.reasons.turnovers(sure);
	return words.reasons.turnoversMaybe(sure, maybe.toFixed(1));
}
