// Samples and what they are rounded to: few digits beyond what a sensor tells, so that many
// of them pack small. Pure: no Node, no file.

/** Steps in a unit. */
export const SAMPLE_SCALES = {
	flowLph: 10,
	vacuumKpa: 100,
	supplyVolts: 100,
	motorAmps: 100,
	fuelC: 10,
} as const;
