// A trip as a controller tells of it, in the catalogue's words: what has happened, what to do, and
// where it is acknowledged. A newer controller may know trips that are not in it. Pure.

import { type TripCode, trips } from "../../firmware/cycle/trips.ts";

export interface TripWords {
	readonly cause: string;
	readonly toDo: string;
	readonly where: string;
}

export function tripWords(code: string, cause: string): TripWords {
	// Told so by the controller: nothing is broken.
	const isMeant = cause.startsWith("commissioning: ");
	const row = Object.hasOwn(trips, code) ? trips[code as TripCode] : null;
	return {
		// The link tells the beginning of a long cause: the catalogue has the rest.
		cause: row?.cause.startsWith(cause) === true ? row.cause : cause,
		toDo: isMeant ? MEANT : row === null ? "see the rig's own guide" : row.toDo,
		where: row?.acknowledgeAt === "anywhere" ? "at the box or over the link" : "at the box",
	};
}

const MEANT =
	"see that the pump stands still; the step meant this stop, and nothing is to be mended";
