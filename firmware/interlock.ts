// The last gate before the pump. It knows nothing of orders, states or detectors: it looks at this
// tick's readings and how long each has been past a hard mark, and opens the pump when one has
// been for too long. Its one bit of memory holds the pump off until the demand has been false once.
// Its limits lie outside the detectors'; a rig file that overlaps them is refused.

import type { TripCode } from "./cycle/trips.ts";
import type { HardTimes, Sensed } from "./sense/sensed.ts";

/** Hard limits. Not settable by any file. Reasons beside them; volts are for a battery of 12 V. */
export const INTERLOCK = {
	/** The detector stops within 0.8 s at most; 2 s of water at 2 L/min is 67 mL more. */
	wetMsMax: 2_000,
	/** The longest dry run any maker's pump of this class stands (common practice, no source). */
	dryPumpMsMax: 60_000,
	/** Less than this share of its free flow is air that turns the meter, not fuel. */
	lowFlowShare: 0.1,
	/** The hardware's run timer opens at 4 h; its time begins with the proof of K1. */
	pumpOnMsMax: 4 * 3_600_000 - 120_000,
	/** A safety input that has said nothing sensible for so long is taken for the worst. */
	unknownMsMax: 3_500,
	trayWetMsMax: 3_000,
	returnOutMsMax: 2_000,
	/** Times the running current: a stalled motor; the fuse is slower at this. */
	ampsShare: 2.5,
	overAmpsMsMax: 3_000,
	/** Below it a battery is harmed within minutes; 10 s is all that is allowed under the floor. */
	voltsMin: 10.2,
	underVoltsMsMax: 8_000,
	voltsMax: 16,
	overVoltsMsMax: 3_000,
	/** A tube or element is shut; hoses and bowls of this class stand 80 kPa. */
	vacuumKpaMax: 55,
	overVacuumMsMax: 60_000,
	/** Share of the volume: no ullage left, and another tank is being emptied into it. */
	fullShareMax: 0.98,
	/** Two senders in one tank agree within it. */
	levelGapMax: 0.05,
	overFullMsMax: 10_000,
	/** Motor's case, °C: windings are hotter by some 30 K, class B stands 130 °C. */
	caseCMax: 95,
	overHotMsMax: 10_000,
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

type Rule = readonly [
	past: keyof HardTimes | "pumpOnMs",
	msMax: number,
	code: TripCode,
	cause: string,
];

/** A canary takes one out at a time and looks what breaks. */
export const interlockRules: readonly Rule[] = [
	["stopUnknownMs", INTERLOCK.unknownMsMax, "sensor-fault", "the stop loop says nothing"],
	["probeWetMs", INTERLOCK.wetMsMax, "water-in-bowl", "the probe is wet"],
	["probeUnknownMs", INTERLOCK.unknownMsMax, "sensor-fault", "the water probe says nothing"],
	["trayWetMs", INTERLOCK.trayWetMsMax, "leak", "the tray is not dry"],
	["returnOutMs", INTERLOCK.returnOutMsMax, "return-out", "the return is not seated"],
	["overFullMs", INTERLOCK.overFullMsMax, "destination-full", "the other tank is full"],
	["lowFlowMs", INTERLOCK.dryPumpMsMax, "dry-run", "no fuel at the meter for too long"],
	["overAmpsMs", INTERLOCK.overAmpsMsMax, "overcurrent", "the motor's current is far too high"],
	["overHotMs", INTERLOCK.overHotMsMax, "motor-hot", "the motor's case is far too hot"],
	["overVoltsMs", INTERLOCK.overVoltsMsMax, "supply-high", "the supply's voltage is far too high"],
	["underVoltsMs", INTERLOCK.underVoltsMsMax, "supply-low", "the supply is under its floor"],
	["overVacuumMs", INTERLOCK.overVacuumMsMax, "restriction-high", "the vacuum is far too high"],
	["pumpOnMs", INTERLOCK.pumpOnMsMax, "time-limit", "the pump has run too long in one stretch"],
];

function broken(sensed: Sensed): Verdict["veto"] {
	if (sensed.stop === "broken") {
		return { code: "stop-button", cause: "interlock: the stop button is pressed" };
	}
	for (const [past, msMax, code, cause] of interlockRules) {
		if (sensed[past] > msMax) return { code, cause: `interlock: ${cause}` };
	}
	return undefined;
}
