// What a vacuum transducer says that no suction side can do: three cross-checks against what the
// pump is doing. A transducer that passes them may still be a few kPa off; the zero is part of the
// commissioning. Pure.

import type { Rig } from "../config/rig.ts";
import type { VacuumBlocks } from "./vacuum-trend.ts";

/** Pumping fuel pulls at least so much through tube, hose and element, kPa (common practice). */
const MOVES_KPA = 0.4;
/** Noise from tick to tick beyond any pump's pulse, kPa mean difference (common practice). */
const ROUGH_KPA = 4;
/** Long after the stop the column in the tube is all that is left, ms. */
const AT_REST_MS = 30_000;
/** Error of zero that is let pass, kPa. */
const ZERO_KPA = 6;
/** Weight of 1 m of heavy diesel, kPa: 860 kg/m³ × 9.81 m/s² (EN 590's highest, rounded). */
const KPA_PER_METRE = 8.44;

/** @returns what is impossible about it, or null */
export function lieOf(blocks: VacuumBlocks, rig: Rig): string | null {
	const { restKpa, settledKpa, offMs, roughKpa } = blocks;
	if (roughKpa > ROUGH_KPA) return "vacuum jumps from tick to tick";
	if (restKpa === null) return null;
	if (settledKpa !== null && Math.abs(settledKpa - restKpa) < MOVES_KPA) {
		return "vacuum does not move with the pump";
	}
	if (offMs < AT_REST_MS) return null;
	const liftKpa = (KPA_PER_METRE * Math.max(rig.pump.heightMm ?? 0, rig.tube.lengthMm)) / 1000;
	if (restKpa < -ZERO_KPA) return "vacuum reads pressure while the pump is off";
	return restKpa > liftKpa + ZERO_KPA ? "vacuum stays although the pump is off" : null;
}
