// The water probe in the bowl: two pins that water bridges. It is driven one way and then the
// other, so that the pins do not corrode and the reading has to change: a reading that does not,
// or that differs from one way to the other, is a fault and not a value. Below the setpoint it is
// wet. A film of fuel, an emulsion and ice read dry: they are declared undetected and covered by
// the wet proof test, not by this.
//
//   probe-plus --[drive]--+--wire--[series]--( pins || end of line )--wire-- probe-minus
//                         +-- converter

import type { Reading } from "../board/port.ts";
import type { Bridge } from "../config/pins.ts";
import { countsOf, fresh, type Quantity, type Unknown } from "./quantity.ts";

export type ProbeValue = "wet" | "dry" | Unknown;

/** Each way is held for so long, ms; a report taken too soon after the change is left out. */
export const PHASE_MS = 200;
const SETTLE_MS = 60;
/** Two ways that disagree are believed to be on their way to agreeing for so long, ms. */
const UNLIKE_MS = 700;
/** Without a usable report for so long there is no reading, ms. */
const SILENT_MS = 600;

export interface ProbeState {
	/** True while probe-plus is high and probe-minus low; false the other way. */
	readonly plus: boolean;
	readonly phaseSinceMs: number;
	/** When a usable report last came; both ways have to. */
	readonly heardMs: number;
	/** As each way showed it last. */
	readonly plusWay: ProbeValue;
	readonly minusWay: ProbeValue;
	/** Since when the two ways disagree; null while they agree. */
	readonly unlikeSinceMs: number | null;
	readonly value: ProbeValue;
}

export const probeAtBoot = (nowMs: number): ProbeState => ({
	plus: true,
	phaseSinceMs: nowMs,
	heardMs: nowMs,
	plusWay: "stale",
	minusWay: "stale",
	unlikeSinceMs: null,
	value: "stale",
});

/** @returns the same object in a tick in which no way is done */
export function readProbe(
	before: ProbeState,
	reading: Reading | undefined,
	bridge: Bridge,
	bits: number,
	thresholdKohm: number,
	nowMs: number,
): ProbeState {
	const raw = fresh(reading);
	const phaseMs = nowMs - before.phaseSinceMs;
	const usable =
		typeof raw === "number" && reading !== undefined && reading.ageMs <= phaseMs - SETTLE_MS;
	if (!usable || phaseMs < PHASE_MS) {
		if (nowMs - before.heardMs <= SILENT_MS) return before;
		const why = typeof raw === "number" ? "stale" : raw;
		if (before.value === why) return before;
		return { ...before, plusWay: why, minusWay: why, unlikeSinceMs: null, value: why };
	}
	const shown = meaning(probeFarOhm(raw, bridge, bits, before.plus), thresholdKohm);
	const plusWay = before.plus ? shown : before.plusWay;
	const minusWay = before.plus ? before.minusWay : shown;
	const unlikeSinceMs = plusWay === minusWay ? null : (before.unlikeSinceMs ?? nowMs);
	const unlikeMs = unlikeSinceMs === null ? 0 : nowMs - unlikeSinceMs;
	// A change reaches the two ways one after the other: until both have it, the old value stands.
	const changing = unlikeMs <= UNLIKE_MS ? before.value : "unlike";
	return {
		plus: !before.plus,
		phaseSinceMs: nowMs,
		heardMs: nowMs,
		plusWay,
		minusWay,
		unlikeSinceMs,
		value: plusWay === minusWay ? plusWay : changing,
	};
}

/** Resistance between the pins at the far end, Ω: 0 to Infinity, or a wire's fault. */
export function probeFarOhm(raw: number, bridge: Bridge, bits: number, plus: boolean): Quantity {
	const countsMax = countsOf(bits) - 1;
	if (raw < 0 || raw > countsMax) return "out-of-range";
	const { driveOhm, seriesOhm, boxOhm, endOfLineOhm } = bridge;
	// Seen from the pin that is high, the far end lies below the input one way, above it the other.
	const share = (plus ? raw : countsMax - raw) / countsMax;
	const intact = (seriesOhm + endOfLineOhm) / (seriesOhm + endOfLineOhm + driveOhm);
	if (share >= (1 + intact) / 2) return "open";
	const loopOhm = (driveOhm * share) / (1 - share);
	// Halfway between a shorted cable, which leaves what is in the box, and pins in salt water.
	if (loopOhm < (boxOhm + seriesOhm) / 2) return "short";
	const far = Math.max(0, loopOhm - seriesOhm);
	// Near the end resistor the rest is noise: everything from 95 % of it up is "nothing there".
	if (far >= 0.95 * endOfLineOhm) return Number.POSITIVE_INFINITY;
	return 1 / (1 / far - 1 / endOfLineOhm);
}

function meaning(ohm: Quantity, thresholdKohm: number): ProbeValue {
	if (typeof ohm !== "number") return ohm;
	return ohm < thresholdKohm * 1000 ? "wet" : "dry";
}
