// Every score there is. A new one is one line here.

import { dryDelay } from "./dry-delay.ts";
import { dryRules } from "./dry-rules.ts";
import { rollingLow, tooLow } from "./rolling.ts";
import type { Score } from "./score.ts";

export const scores: readonly Score[] = [dryDelay, dryRules, tooLow, rollingLow];
