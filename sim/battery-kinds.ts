// What the chemistry of a battery says where its data sheet is not at hand: rest voltage, Peukert's
// exponent, and how much of it may be used. Imports physics. Exponents and usable shares: common
// practice, no source.

import type { Rig } from "../firmware/config/rig.ts";
import {
	ABSORBED_LEAD_ACID,
	FLOODED_LEAD_ACID,
	IRON_PHOSPHATE,
	type RestCurve,
} from "./physics/battery.ts";

export interface BatteryKind {
	/** For 12 V. */
	readonly curve: RestCurve;
	/** Peukert's. */
	readonly exponent: number;
	/** Share of the capacity that may be taken without wearing it out. */
	readonly usableShare: number;
}

export const batteryKinds: Readonly<Record<Rig["supply"]["chemistry"], BatteryKind>> = {
	flooded: { curve: FLOODED_LEAD_ACID, exponent: 1.25, usableShare: 0.5 },
	absorbed: { curve: ABSORBED_LEAD_ACID, exponent: 1.12, usableShare: 0.5 },
	"iron-phosphate": { curve: IRON_PHOSPHATE, exponent: 1.04, usableShare: 0.8 },
};
