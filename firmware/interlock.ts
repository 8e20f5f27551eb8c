// The last gate before the pump. It knows nothing of orders, states or detectors: it looks at this
// tick's readings, their ages and how long they have held, and opens the pump when one is past a
// hard limit. Its one bit of memory holds the pump off until the demand has been false once.
// Its limits lie outside the detectors'; a rig file that overlaps them is refused.

import type { TripCode } from "./cycle/trips.ts";
import type { Sensed } from "./sense/sensed.ts";

/** Hard limits. Not settable by any file. Reasons beside them. */
export const INTERLOCK = {
	/** The detector stops within 0.8 s at most; 2 s of water at 2 L/min is 67 mL more. */
	wetMsMax: 2_000,
	/** The longest dry run any maker's pump of this class stands (common practice, no source). */
	dryPumpMsMax: 60_000,
	/** The hardware's run timer opens at the same age. */
	pumpOnMsMax: 4 * 3_600_000,
	/** A safety input that has said nothing sensible for so long is taken for the worst. */
	unknownMsMax: 3_500,
} as const;

export interface InterlockMemory {
	/** True from a veto until the demand has been false. */
	readonly holding: boolean;
}

export interface Verdict {
	readonly allow: boolean;
	readonly memory: InterlockMemory;
	/** Set in the tick of the veto only; becomes a trip. */
	readonly veto?: { readonly code: TripCode; readonly cause: string };
}

/** May the pump have what the statechart demands? Pure; never throws. */
export function interlock(demanded: boolean, sensed: Sensed, memory: InterlockMemory): Verdict {
	if (!demanded) return { allow: false, memory: RELEASED };
	if (memory.holding) return { allow: false, memory };
	const veto = broken(sensed);
	if (veto === undefined) return { allow: true, memory: RELEASED };
	return { allow: false, memory: HOLDING, veto };
}

const RELEASED: InterlockMemory = { holding: false };
const HOLDING: InterlockMemory = { holding: true };

function broken(sensed: Sensed): Verdict["veto"] {
	const { stop, probe } = sensed;
	if (stop === "broken") {
		return { code: "stop-button", cause: "interlock: the stop button is pressed" };
	}
	if (sensed.stopUnknownMs > INTERLOCK.unknownMsMax) {
		return { code: "sensor-fault", cause: `interlock: stop loop ${stop}` };
	}
	if (sensed.probeWetMs > INTERLOCK.wetMsMax) {
		return { code: "water-in-bowl", cause: "interlock: the probe is wet" };
	}
	if (sensed.probeUnknownMs > INTERLOCK.unknownMsMax) {
		return { code: "sensor-fault", cause: `interlock: water probe ${probe}` };
	}
	if (sensed.noFlowMs > INTERLOCK.dryPumpMsMax) {
		return { code: "dry-run", cause: "interlock: no pulse from the meter for too long" };
	}
	if (sensed.pumpOnMs > INTERLOCK.pumpOnMsMax) {
		return { code: "time-limit", cause: "interlock: the pump has run too long in one stretch" };
	}
	return undefined;
}
