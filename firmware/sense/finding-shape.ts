// One shape for all rows of findings: some fifty are looked at in every tick, and a property is
// found at once where all of them have it in the same place. Imports types.

import type { Row } from "./finding-row.ts";

/** Of a row that says nothing of the rest. */
const PLAIN = {
	permits: undefined,
	endsWith: undefined,
	hold: undefined,
	blocks: undefined,
	blocksOneTank: undefined,
	loses: undefined,
	event: undefined,
};

/** The same row with every property in its place, those it lacks as undefined. */
export function alike({ seen, onMs, offMs, ...rest }: Row): Row {
	// The compiler tells a property that is undefined from one that is not there; readers do not.
	return { seen, onMs, offMs, ...PLAIN, ...rest } as Row;
}
