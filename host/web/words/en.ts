// Every word that the pages show, in English, one part a file. Another language is another object
// of the same shape; its parts are entered beside the English ones, where `spoken` is called.
// Phrases with a value in them are functions of its text. What the controller says in its own words
// (events, refusals) comes as it is and is marked so.

import { card } from "./en-card.ts";
import { logbook } from "./en-logbook.ts";
import { season } from "./en-season.ts";
import { shared } from "./en-shared.ts";

export const en = { ...shared, season, logbook, card };
