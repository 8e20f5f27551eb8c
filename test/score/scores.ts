// Every score there is, in the order in which they are measured. A new one is one line here.
// Imports the scores.

import { dryDelay } from "./dry-delay.ts";
import { dryRules } from "./dry-rules.ts";
import { rollingLow, tooLow } from "./rolling.ts";
import type { Score } from "./score.ts";
import { waterStop } from "./water-stop.ts";

export const scores: readonly Score[] = [dryDelay, dryRules, tooLow, waterStop, rollingLow];
