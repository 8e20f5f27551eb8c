// What the way of the fuel has really done since the start, as nobody aboard can know it: counts
// that scenarios and tests are judged by. Imports nothing.

export interface PathTruth {
	litresThroughPump: number;
	litresReturned: number;
	litresSpilled: number;
	freeWaterPastBowlMl: number;
	dispersedWaterPastElementMl: number;
	dryPumpSeconds: number;
}

export const nothingYet = (): PathTruth => ({
	litresThroughPump: 0,
	litresReturned: 0,
	litresSpilled: 0,
	freeWaterPastBowlMl: 0,
	dispersedWaterPastElementMl: 0,
	dryPumpSeconds: 0,
});
