// Every word that the pages show, in English, one part a file. Another language is another object
// of the same shape, entered into words.ts. Phrases with a value in them are functions of its text.
// What the controller says in its own words (events, refusals) comes as it is and is marked so.

import { bench } from "./en-bench.ts";
import { card } from "./en-card.ts";
import { kit } from "./en-kit.ts";
import { live } from "./en-live.ts";
import { logbook } from "./en-logbook.ts";
import { rig } from "./en-rig.ts";
import { season } from "./en-season.ts";

export const en = {
	/** For numbers and dates, and the page's `lang`. */
	locale: "en",
	/** Of the language, in itself. */
	language: "English",
	kit,
	rig,
	live,
	bench,
	season,
	logbook,
	card,
};
