// What is left on the suction side: the smallest distance to any of the vacuums that must not be
// reached. Imports the rig in SI and physics. That ratings shrink with the air's pressure and with
// volts under the rated ones is common practice, no source.

import { SEA_LEVEL_PA } from "../../sim/physics/atmosphere.ts";
import { deadHeadShare } from "../../sim/physics/pump.ts";
import type { SteadyPoint } from "../../sim/physics/steady-point.ts";
import type { RigInSi } from "./rig-in-si.ts";

export const limitWords = {
	"wet-suction": "the pump's rated suction on fuel",
	"dry-suction": "the pump's rated suction on air: after a gulp of air it would not draw again",
	"air-release": "the vacuum at which dissolved air comes out of the fuel",
	"element-collapse": "the pressure difference that the element stands",
	"hose-collapse": "the vacuum that the suction hose stands",
} as const;
export type LimitName = keyof typeof limitWords;

export interface Margin {
	readonly kpa: number;
	readonly limit: LimitName;
	/** The limit itself, kPa. */
	readonly limitKpa: number;
}

/** Each limit with its margin at a point of running; less than 0 where it is passed. */
export function suctionMargins({ curve, rig, steady }: RigInSi, point: SteadyPoint): Margin[] {
	const { vacuumPa, bowlVacuumPa } = point;
	const thinAir = Math.min(1, steady.atmospherePa / SEA_LEVEL_PA);
	const rated = thinAir * Math.min(1, deadHeadShare(steady.kind, point.voltsShare));
	const { airReleaseKpa, hoseCollapseKpa } = rig.sizing;
	const margin = (limit: LimitName, limitPa: number, metPa: number): Margin => ({
		kpa: (limitPa - metPa) / 1e3,
		limit,
		limitKpa: limitPa / 1e3,
	});
	return [
		margin("wet-suction", rated * curve.wetSuctionPa, vacuumPa),
		margin("dry-suction", rated * curve.drySuctionPa, vacuumPa),
		margin("air-release", thinAir * airReleaseKpa * 1e3, vacuumPa),
		margin("element-collapse", rig.element.collapseKpa * 1e3, vacuumPa - bowlVacuumPa),
		margin("hose-collapse", hoseCollapseKpa * 1e3, bowlVacuumPa),
	];
}

/** The smallest of them. */
export const suctionMargin = (si: RigInSi, point: SteadyPoint): Margin =>
	suctionMargins(si, point).reduce((least, margin) => (margin.kpa < least.kpa ? margin : least));
