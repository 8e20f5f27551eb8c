// What goes wrong along the way of the fuel, as numbers that each step reckons with: the rig sets
// them from the faults that it has. Imports nothing.

/** What the world does to the path during a step; set by the rig from faults and crew. */
export interface Mishaps {
	tubeLifted: boolean;
	/** Tube pressed against wall or into sludge. */
	tubeBlocked: boolean;
	/** What the suction valve before the bowl takes, Pa s/m³. */
	suctionPaPerM3s: number;
	/** Air through a bad joint, m³/s at the atmosphere for each Pa of vacuum. */
	leakM3sPerPa: number;
	/** Share of the pumped flow that never reaches the return: a hose off or a split. */
	lostShare: number;
	returnOut: boolean;
	returnShut: boolean;
	/** The return's hose ends in a measuring can. */
	intoCan: boolean;
	siphon: boolean;
	/** Of the pump's free flow and dead head that wear has left. */
	wornShare: number;
}

export const noMishaps = (): Mishaps => ({
	tubeLifted: false,
	tubeBlocked: false,
	suctionPaPerM3s: 0,
	leakM3sPerPa: 0,
	lostShare: 0,
	returnOut: false,
	returnShut: false,
	intoCan: false,
	siphon: false,
	wornShare: 1,
});
