// Every score there is, in the order in which they are measured. A new one is one line here.
// Imports the scores.

import { dirtForecast } from "./dirt-forecast.ts";
import { dryDelay } from "./dry-delay.ts";
import { dryRules } from "./dry-rules.ts";
import { rollingLow, tooLow } from "./rolling.ts";
import type { Score } from "./score.ts";
import { waterStop } from "./water-stop.ts";
import { waxOrDirt } from "./wax-or-dirt.ts";

export const scores: readonly Score[] = [
	waxOrDirt,
	dirtForecast,
	dryDelay,
	dryRules,
	tooLow,
	waterStop,
	rollingLow,
];
