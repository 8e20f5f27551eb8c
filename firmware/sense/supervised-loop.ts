// A two-wire loop that tells its own faults: contact made, contact broken, wire short and wire cut
// are four voltages. Ohm's law over pull-up, series and end-of-line resistor; values from the map.

import type { Reading } from "../board/port.ts";
import type { SupervisedLoop } from "../config/pins.ts";
import { countsOf, fresh, type Quantity, type Unknown } from "./quantity.ts";

export type LoopValue = "made" | "broken" | Unknown;

/**
 * Resistance of what hangs at the far end of the loop, Ω: the contact without the loop's own
 * resistors. 0 is a hard contact, Infinity nothing at all; `open` and `short` are wire faults.
 */
export function farEndOhm(
	reading: Reading | undefined,
	loop: SupervisedLoop,
	bits: number,
): Quantity {
	const raw = fresh(reading);
	if (typeof raw !== "number") return raw;
	const countsMax = countsOf(bits) - 1;
	if (raw < 0 || raw > countsMax) return "out-of-range";
	if (raw >= openFrom(loop, countsMax)) return "open";
	const loopOhm = (loop.pullUpOhm * raw) / (countsMax - raw);
	if (loopOhm < loop.seriesOhm / 2) return "short";
	const farOhm = Math.max(0, loopOhm - loop.seriesOhm);
	// Near the end resistor the rest is noise: everything from 98 % of it up is "nothing there".
	if (farOhm >= 0.98 * loop.endOfLineOhm) return Number.POSITIVE_INFINITY;
	return 1 / (1 / farOhm - 1 / loop.endOfLineOhm);
}

/** Counts from which the wire is cut: halfway from the intact loop's highest reading to the top. */
function openFrom(loop: SupervisedLoop, countsMax: number): number {
	const intactOhm = loop.seriesOhm + loop.endOfLineOhm;
	const intact = (countsMax * intactOhm) / (intactOhm + loop.pullUpOhm);
	return (intact + countsMax) / 2;
}

/** A switch in such a loop. A contact over a tenth of the end resistor counts as broken. */
export function loopValue(farOhm: Quantity, loop: SupervisedLoop): LoopValue {
	if (typeof farOhm !== "number") return farOhm;
	return farOhm < loop.endOfLineOhm / 10 ? "made" : "broken";
}
