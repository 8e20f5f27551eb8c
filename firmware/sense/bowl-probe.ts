// The water probe in the bowl: two pins that water bridges. Below the setpoint it is wet. A film
// of fuel, an emulsion and ice read dry: they are declared undetected and covered by the wet
// proof test, not by this.

import type { Quantity, Unknown } from "./quantity.ts";

export type ProbeValue = "wet" | "dry" | Unknown;

/** @param ohm resistance between the pins, Ω  @param thresholdKohm setpoint, kΩ */
export function probeValue(ohm: Quantity, thresholdKohm: number): ProbeValue {
	if (typeof ohm !== "number") return ohm;
	return ohm < thresholdKohm * 1000 ? "wet" : "dry";
}
