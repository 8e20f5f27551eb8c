// What decides of the scores of dry run: the detector and what it is told, the simulator's way of
// air and water, and the stories. What else is in the loop may change without a new measurement.

export const DRY_SOURCES: readonly string[] = [
	"firmware/sense/dry-run.ts",
	"firmware/sense/dry-budget.ts",
	"firmware/sense/flow.ts",
	"sim/pick-up.ts",
	"sim/sea.ts",
	"sim/suction-line.ts",
	"sim/fuel-path.ts",
	"sim/filter.ts",
	"sim/sensors.ts",
	"test/score/closed-run.ts",
	"test/score/dry-sources.ts",
	"test/score/dry-stories.ts",
	"test/score/dry-traces.ts",
	"test/score/poisson.ts",
];
