// Every score there is. A new one is one line here; its module says what it measures and against
// which goals.

import { dirtForecast } from "./dirt-forecast.ts";
import type { Score } from "./score.ts";
import { waxOrDirt } from "./wax-or-dirt.ts";

export const scores: readonly Score[] = [waxOrDirt, dirtForecast];
