// Every score there is. A new one is one line here.

import type { Score } from "./score.ts";

export const scores: readonly Score[] = [];
