// The ways in which a story may end. Apart from the scenario's schema, so that who only asks for
// their names does not load it. Imports types and the trips' names.

import type { Outcome } from "../../firmware/cycle/effects.ts";
import { type TripCode, tripCodes } from "../../firmware/cycle/trips.ts";

/** How a story may end: in the words of the account. */
type Ending =
	| Outcome
	| `tripped: ${TripCode}`
	| "idle"
	| "refused"
	| "unfinished"
	| "controller dead";
export const endings: readonly Ending[] = [
	"finished",
	"stopped",
	"could not start",
	"no longer permitted",
	"idle",
	"refused",
	"unfinished",
	"controller dead",
	...tripCodes.map((code) => `tripped: ${code}` as const),
	...tripCodes.map((code) => `ended by trip: ${code}` as const),
];
