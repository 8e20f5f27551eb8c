// The draw of a code that a person types in on a page: by the machine's own dice, since nobody may
// foresee it. Imports Node's randomness.

import { randomInt } from "node:crypto";

/** Six digits. */
export const drawCode = (): string => String(randomInt(1_000_000)).padStart(6, "0");
