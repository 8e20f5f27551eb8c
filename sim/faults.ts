// The faults that the model can have, one row each: what breaks, how large it may be, which trips
// must answer, and which of the bench's invariants it suspends or relaxes, with the reason. A
// scenario gives each its onset, sudden or slow, and its end. Never happens here: two boards.

import type { TripCode } from "../firmware/cycle/trips.ts";

/** What must hold in every run, whatever is broken, unless a row says otherwise. */
export const invariants = [
	"no free water past the bowl",
	"no spill",
	"no long dry run",
	"pump off after a dead controller",
	"supply above its floor",
	"destination below its ullage",
	"litres as pumped",
	"hours as pumped",
] as const;
export type Invariant = (typeof invariants)[number];

export interface FaultRow {
	readonly what: string;
	/** How large it may be, in its unit; the middle is what it has where nobody says. */
	readonly size?: {
		readonly unit: string;
		readonly min: number;
		readonly usual: number;
		readonly max: number;
		/** Size while nothing is broken, where that is not 0: what a slow onset grows from. */
		readonly none?: number;
		/** It comes all at once or not at all. */
		readonly atOnce?: true;
	};
	/** Any of these answers it; none where nothing that the rig has today can see it. */
	readonly trips: readonly TripCode[];
	/** Why no trip answers, for a row without one. */
	readonly unseen?: string;
	readonly relaxes?: Readonly<Partial<Record<Invariant, string>>>;
}

const SPILLS = { "no spill": "fuel runs out until somebody comes: no sensor here sees it" };

export const faultRows = {
	"tube-lifted": {
		what: "the tube's end is out of the fuel: air comes",
		trips: ["dry-run", "prime-failed"],
	},
	"tube-blocked": {
		what: "the tube stands against a wall or in sludge",
		trips: [],
		unseen: "vacuum is logged and not yet judged",
	},
	"air-leak": {
		what: "a joint on the suction side lets air in",
		size: { unit: "L/h of air at 10 kPa of vacuum", min: 0.5, usual: 120, max: 400 },
		trips: ["dry-run", "prime-failed"],
		relaxes: { "litres as pumped": "air that the meter counts is not fuel" },
	},
	"water-slug": {
		what: "a pocket of free water reaches the pick-up",
		size: { unit: "mL", min: 20, usual: 800, max: 3_000, atOnce: true },
		trips: ["water-in-bowl"],
		relaxes: {
			"no free water past the bowl": "a slug larger than the bowl's sump outruns any probe",
		},
	},
	"ice-in-bowl": {
		what: "the bowl's water is frozen: the probe reads dry",
		trips: [],
		unseen: "ice reads dry: covered by the limit on cold fuel, not by the probe",
	},
	"return-out": {
		what: "the return has fallen out of the filler",
		trips: [],
		unseen: "no seat switch, tray or level is fitted",
		relaxes: SPILLS,
	},
	"return-in-wrong-tank": {
		what: "the return hangs in another tank",
		trips: [],
		unseen: "no level is fitted",
		relaxes: {
			...SPILLS,
			"destination below its ullage": "the other tank fills up: no level is fitted",
		},
	},
	"return-shut": {
		what: "the return is shut or pinched",
		trips: ["dry-run", "prime-failed"],
	},
	"hose-off": {
		what: "a hose on the pressure side is off, or weeps",
		size: { unit: "% of the flow", min: 1, usual: 100, max: 100 },
		trips: [],
		unseen: "no tray sensor is fitted",
		relaxes: SPILLS,
	},
	siphon: {
		what: "the return ends low and its anti-siphon hole is blocked",
		trips: [],
		unseen: "no seat switch or level is fitted; pulses without a run are counted",
		relaxes: {
			...SPILLS,
			"destination below its ullage": "fuel runs with the pump off",
		},
	},
	"vent-shut": {
		what: "the vents of both tanks are blocked",
		trips: [],
		unseen: "only a transfer changes the pressure over the fuel",
	},
	"element-plugs": {
		what: "growth plugs the element at once",
		size: { unit: "times its resistance", min: 2, usual: 60, max: 200, none: 1 },
		trips: ["dry-run", "prime-failed"],
	},
	"cold-snap": {
		what: "the fuel is suddenly below its cloud point: wax",
		size: { unit: "K below the cloud point", min: 1, usual: 6, max: 12, atOnce: true },
		trips: ["dry-run", "prime-failed", "time-limit"],
	},
	"pump-worn": {
		what: "the pump has worn",
		size: { unit: "% of its flow left", min: 15, usual: 55, max: 90, none: 100 },
		trips: ["time-limit", "prime-failed"],
	},
	"pump-seized": {
		what: "the pump does not turn",
		trips: ["prime-failed", "dry-run"],
	},
	"motor-wire-off": {
		what: "the motor's wire is off",
		trips: ["prime-failed", "dry-run"],
	},
	"k1-welded": { what: "contact K1 stays closed", trips: ["relay-stuck"] },
	"k2-welded": { what: "contact K2 stays closed", trips: ["relay-stuck"] },
	"battery-weak": {
		what: "the battery has become weak",
		size: { unit: "Ω more", min: 0.1, usual: 0.8, max: 2 },
		trips: [],
		unseen: "supply volts are logged and not yet judged",
		relaxes: { "supply above its floor": "nothing stops the pump for it yet" },
	},
	"charger-overvoltage": {
		what: "the charger does not stop at its voltage",
		size: { unit: "V", min: 15, usual: 16.5, max: 32, none: 14.4 },
		trips: [],
		unseen: "supply volts are logged and not yet judged",
	},
	"probe-wire-cut": { what: "the water probe's wire is cut", trips: ["sensor-fault"] },
	"probe-wire-shorted": { what: "the water probe's wire is shorted", trips: ["sensor-fault"] },
	"probe-fouled": {
		what: "the water probe is coated with fuel and film: it reads dry",
		trips: [],
		unseen: "dangerous undetected: covered by the wet proof test",
		relaxes: { "no free water past the bowl": "the probe does not see it" },
	},
	"stop-wire-cut": { what: "the stop loop's sensing wire is cut", trips: ["sensor-fault"] },
	"stop-button-struck": {
		what: "something falls against the stop button",
		trips: ["stop-button"],
	},
	"vacuum-stuck": {
		what: "the vacuum transducer says for ever what it says now",
		trips: [],
		unseen: "vacuum is logged and not yet judged",
	},
	"vacuum-drifts": {
		what: "the vacuum transducer's zero has moved",
		size: { unit: "kPa", min: -20, usual: 8, max: 20 },
		trips: [],
		unseen: "vacuum is logged and not yet judged",
	},
	"vacuum-noisy": {
		what: "the vacuum transducer's wire picks up noise",
		size: { unit: "kPa", min: 1, usual: 6, max: 20 },
		trips: [],
		unseen: "vacuum is logged and not yet judged",
	},
	"meter-stands-still": {
		what: "the flow meter gives no pulses",
		trips: ["dry-run", "prime-failed"],
		relaxes: { "litres as pumped": "no pulses, no litres" },
	},
	"meter-drifts": {
		what: "the flow meter gives another number of pulses a litre",
		size: { unit: "%", min: -30, usual: -12, max: 30 },
		trips: [],
		unseen: "nothing else measures the flow yet",
		relaxes: { "litres as pumped": "they are wrong by as much" },
	},
	"tray-sensor-dead": {
		what: "the tray's leak sensor says dry for ever",
		trips: [],
		unseen: "dangerous undetected: covered by its proof test with fuel",
	},
	"board-stops-answering": {
		what: "the board hangs: no report, no write",
		trips: ["board-lost"],
	},
	"log-fails": { what: "the record store reports a failure", trips: ["log-failed"] },
	"controller-restarts": {
		what: "the controller's computer loses its supply for a moment and starts again",
		trips: ["interrupted"],
		relaxes: { "litres as pumped": "what came since the last sample is not on disk" },
	},
	"controller-hangs": {
		what: "no tick is completed any more",
		trips: [],
		unseen: "no software is left to trip: the dead-man opens",
	},
} as const satisfies Record<string, FaultRow>;

export type Fault = keyof typeof faultRows;

export const faults = Object.keys(faultRows) as Fault[];

/** A fault that is there: it grows from nothing to its size in so many seconds. */
export interface Ailment {
	readonly size: number;
	readonly sinceS: number;
	readonly overS: number;
}

/** Size at a time, in the fault's own unit; 0 for one without a size. */
export function sizeAt(fault: Fault, { size, sinceS, overS }: Ailment, atS: number): number {
	const row: FaultRow = faultRows[fault];
	const none = row.size?.none ?? 0;
	const grown = overS <= 0 ? 1 : Math.min(1, (atS - sinceS) / overS);
	return none + (size - none) * grown;
}

/** The size that a fault has where nobody says. */
export function usualSize(fault: Fault): number {
	const row: FaultRow = faultRows[fault];
	return row.size?.usual ?? 0;
}
