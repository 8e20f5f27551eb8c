// What the controller knows of the world in one tick, in trade units. An unknown quantity is a word
// that says why.

import type { ProbeValue } from "./bowl-probe.ts";
import type { Quantity } from "./quantity.ts";
import type { RestrictionState } from "./restriction.ts";
import type { LoopValue } from "./supervised-loop.ts";
import type { PluggingSums } from "./wax-or-dirt.ts";

/** For how long each has been past the interlock's mark, flapping counted in (leaky.ts), ms. */
export interface HardTimes {
	readonly probeWetMs: number;
	readonly probeUnknownMs: number;
	readonly stopUnknownMs: number;
	readonly trayWetMs: number;
	readonly returnOutMs: number;
	readonly lowFlowMs: number;
	readonly overAmpsMs: number;
	readonly underVoltsMs: number;
	readonly overVoltsMs: number;
	readonly overVacuumMs: number;
	readonly overFullMs: number;
	readonly overHotMs: number;
}

export interface Sensed extends HardTimes {
	/** 1 while the board answers and its outputs read back as driven, 0 when they do not. */
	readonly board: Quantity;
	/** 1 while the beat's pin reads back as a plain output, 0 when it does not. */
	readonly beatMode: Quantity;
	readonly stop: LoopValue;
	readonly probe: ProbeValue;
	readonly flowLph: Quantity;
	/** Suction at the pump inlet below the air outside, kPa; positive is vacuum. */
	readonly vacuumKpa: Quantity;
	readonly bowlTapKpa: Quantity;
	readonly supplyVolts: Quantity;
	/** What the supply would read without the pump's own load, V. */
	readonly restVolts: Quantity;
	readonly motorAmps: Quantity;
	/** Made while dry, seated, seated, and below its mark. */
	readonly tray: LoopValue;
	readonly returnSeat: LoopValue;
	readonly tubeSeat: LoopValue;
	readonly pressureSwitch: LoopValue;
	/** Share of the tank's volume, 0 to 1: under the tube and under the return. */
	readonly levelFrom: Quantity;
	readonly levelTo: Quantity;
	readonly fuelC: Quantity;
	readonly caseC: Quantity;
	readonly buttonPressed: boolean;
	/** Pulses and motor time since the last tick. */
	readonly pulses: number;
	readonly motorMs: number;
	/** Motor time without a pulse, and in this stretch, ms. */
	readonly noFlowMs: number;
	readonly pumpOnMs: number;
	/** Motor time without fuel in the last five minutes, priming left out, ms. */
	readonly dryMs: number;
	/** What the evidence of air amounts to, in time on air alone (dry-run.ts), ms. */
	readonly airMs: number;
	/** Gulps of air have added up: the order waits for a calmer sea. */
	readonly tooLow: boolean;
	/** Time since the motor was switched off, ms; 0 while it is on. */
	readonly offMs: number;
	/** Litres with the pump off beyond what a slow siphon may give (flow.ts). */
	readonly siphonLitres: number;
	/** Smoothed levels' move since the pump began with this order, share; null while unknown. */
	readonly fromMoved: number | null;
	readonly toMoved: number | null;
	/** Smoothed level under the tube less that under the return, share; null while unknown. */
	readonly levelGap: number | null;
	/** Smoothed level under the return, share; null while unknown. */
	readonly toLevel: number | null;
	/** See vacuum-trend.ts, kPa; null while it says nothing. */
	readonly vacuumRiseKpa: number | null;
	readonly pumpingVacuumKpa: number | null;
	/** Gain of the vacuum since this stretch had settled, kPa. */
	readonly vacuumGainKpa: number | null;
	/** What vacuum does that no suction side can do, or null. */
	readonly vacuumLies: string | null;
	/** See restriction.ts and wax-or-dirt.ts; null before the first settled pumping. */
	readonly restriction: RestrictionState | null;
	readonly plugging: PluggingSums | null;
	/** What lift and clean pipe take now, kPa; a rated drop times this is now (suction-side.ts). */
	readonly pipeKpa: number | null;
	readonly perReferred: number | null;
	/** Which sensor has drifted, and what does not add up in a transfer, in words; or null. */
	readonly drift: string | null;
	readonly imbalance: string | null;
}
