// What the controller knows of the world in one tick, in trade units. An unknown quantity is a word
// that says why.

import type { ProbeValue } from "./bowl-probe.ts";
import type { Quantity } from "./quantity.ts";
import type { LoopValue } from "./supervised-loop.ts";

export interface Sensed {
	/** 1 while the board answers and its outputs read back as driven, 0 when they do not. */
	readonly board: Quantity;
	readonly stop: LoopValue;
	readonly probe: ProbeValue;
	/** For how long each has been so, flapping counted in (see leaky.ts), ms. */
	readonly probeWetMs: number;
	readonly probeUnknownMs: number;
	readonly stopUnknownMs: number;
	readonly flowLph: Quantity;
	/** Suction at the pump inlet below the air outside, kPa; positive is vacuum. */
	readonly vacuumKpa: Quantity;
	readonly supplyVolts: Quantity;
	readonly motorAmps: Quantity;
	readonly buttonPressed: boolean;
	/** Pulses and motor time since the last tick. */
	readonly pulses: number;
	readonly motorMs: number;
	/** Motor time without a pulse, and in this stretch, ms. */
	readonly noFlowMs: number;
	readonly pumpOnMs: number;
	/** Motor time without fuel in the last five minutes, priming left out, ms. */
	readonly dryMs: number;
}
