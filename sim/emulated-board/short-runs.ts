// Which scenarios are short enough for the emulated board, where a minute of the rig takes many
// seconds of a core: one rule for the tests and for `lees bench all`. Imports types only.

import type { Scenario } from "../bench/scenario.ts";

/** Simulated time that a scenario's `hoursMax` stays under, s. */
export const SHORT_SECONDS = 120;

export const isShort = ({ hoursMax }: Scenario): boolean => hoursMax * 3_600 < SHORT_SECONDS;
