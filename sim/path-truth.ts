// What the way of the fuel has really done since the start, as nobody aboard can know it: counts
// that scenarios and tests are judged by.

import { NOUGHT } from "./physics/fraction.ts";

export interface PathTruth {
	litresThroughPump: number;
	litresReturned: number;
	litresSpilled: number;
	freeWaterPastBowlMl: number;
	dispersedWaterPastElementMl: number;
	dryPumpSeconds: number;
}

export const nothingYet = (): PathTruth => ({
	litresThroughPump: NOUGHT,
	litresReturned: NOUGHT,
	litresSpilled: NOUGHT,
	freeWaterPastBowlMl: NOUGHT,
	dispersedWaterPastElementMl: NOUGHT,
	dryPumpSeconds: NOUGHT,
});
