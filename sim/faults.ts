// The faults that the model can have, one row each: what breaks, how large it may be, which trips
// must answer, and which of the bench's invariants it suspends or relaxes, with the reason. A
// scenario gives each its onset, sudden or slow, and its end. What can be wrong with a sensor's
// wire is in sensor-faults.ts. Never happens here: two boards.

import type { Rig } from "../firmware/config/rig.ts";
import type { TripCode } from "../firmware/cycle/trips.ts";
import { type SensorFault, sensorFaultRows } from "./sensor-faults.ts";

/** What must hold in every run, whatever is broken, unless a row says otherwise. */
export const invariants = [
	"no free water past the bowl",
	"no spill",
	"no long dry run",
	"no long prime",
	"pump within its rated run",
	"motor within its heat",
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
	/**
	 * Beside it the controller learns so much later, at each stop, that the motor has stopped or has
	 * run on: hours, and the litres of that time, may be off by it, s.
	 */
	readonly lateS?: number;
	/** Which sizes of it relax anything, in this rig; left out: all of them. */
	readonly relaxesOnly?: (size: number, rig: Rig) => boolean;
}

const SPILLS = { "no spill": "fuel runs out until somebody comes: no sensor here sees it" };

/** A sample a second, and the dead-man's time to let go, s. */
const UNWRITTEN_S = 3;

const worldRows = {
	"tube-lifted": {
		what: "the tube's end is out of the fuel: air comes",
		trips: ["dry-run", "prime-failed"],
	},
	"tube-unseated": {
		what: "the tube's head is off the filler, and its end out of the fuel",
		trips: ["tube-out"],
	},
	"tube-blocked": {
		what: "the tube stands against a wall or in sludge",
		trips: ["suction-blocked", "restriction-high", "dry-run", "prime-failed"],
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
			"no free water past the bowl": "a slug larger than the bowl's room outruns any probe",
		},
		relaxesOnly: (size, { bowl }) => size > bowl.probeToCarryoverMl,
	},
	"ice-in-bowl": {
		what: "the bowl's water is frozen: the probe reads dry",
		trips: [],
		unseen: "ice reads dry: covered by the limit on cold fuel, not by the probe",
		relaxes: { "no free water past the bowl": "ice reads dry" },
	},
	"return-out": {
		what: "the return has fallen out of the filler",
		trips: ["return-out", "wrong-tank"],
		// Its switch opens K2 by itself.
		lateS: 2,
	},
	"return-in-wrong-tank": {
		what: "the return hangs in another tank",
		trips: ["wrong-tank", "destination-full", "source-low"],
	},
	"return-shut": {
		what: "the return is shut or pinched",
		trips: ["discharge-blocked", "no-current", "dry-run", "prime-failed"],
		// The pressure switch stops the motor 1.5 s before its current is missed.
		lateS: 2,
	},
	"hose-off": {
		what: "a hose on the pressure side is off, or weeps, over the tray",
		size: { unit: "% of the flow", min: 1, usual: 100, max: 100 },
		trips: ["leak", "wrong-tank"],
		relaxes: { "no spill": "what weeps is not covered: the tray may dry it away unseen" },
		relaxesOnly: (size) => size < 10,
	},
	siphon: {
		what: "the return ends low and its anti-siphon hole is blocked",
		trips: ["flow-when-stopped"],
		relaxes: {
			...SPILLS,
			"destination below its ullage": "fuel runs with the pump off",
		},
	},
	"vent-shut": {
		what: "the vents of both tanks are blocked",
		trips: ["tank-vent-blocked", "restriction-high", "suction-blocked", "discharge-blocked"],
	},
	"element-plugs": {
		what: "growth plugs the element at once",
		size: { unit: "times its resistance", min: 2, usual: 60, max: 200, none: 1 },
		trips: ["suction-blocked", "restriction-high", "dry-run", "prime-failed"],
	},
	"cold-snap": {
		what: "the fuel is suddenly below its cloud point: wax",
		size: { unit: "K below the cloud point", min: 1, usual: 6, max: 12, atOnce: true },
		trips: ["too-cold", "suction-blocked", "restriction-high", "dry-run", "prime-failed"],
	},
	"pump-worn": {
		what: "the pump has worn",
		size: { unit: "% of its flow left", min: 15, usual: 55, max: 90, none: 100 },
		trips: ["time-limit", "prime-failed", "sensor-fault", "dry-run"],
	},
	"pump-seized": {
		what: "the pump does not turn",
		trips: ["overcurrent", "no-current", "prime-failed", "dry-run", "supply-low"],
	},
	"motor-wire-off": {
		what: "the motor's wire is off",
		trips: ["no-current", "prime-failed", "dry-run"],
		lateS: 2,
	},
	"motor-hot": {
		what: "the motor's cooling is blocked",
		size: { unit: "K more in a run without end", min: 20, usual: 120, max: 200 },
		trips: ["motor-hot"],
	},
	"k1-welded": {
		what: "contact K1 stays closed",
		trips: ["relay-stuck"],
		// After a stop the motor runs until the dead-man opens, which may be too short to be found.
		lateS: 2,
	},
	"k2-welded": { what: "contact K2 stays closed", trips: ["relay-stuck"] },
	"battery-weak": {
		what: "the battery has become weak",
		size: { unit: "Ω more", min: 0.1, usual: 1.4, max: 2 },
		trips: ["supply-low"],
		relaxes: { "supply above its floor": "it sags at the start, before anything can see it" },
	},
	"charger-overvoltage": {
		what: "the charger does not stop at its voltage",
		size: { unit: "V", min: 15, usual: 16.5, max: 32, none: 14.4 },
		trips: ["supply-high"],
	},
	"probe-fouled": {
		what: "the water probe is coated with fuel and film: it reads dry",
		trips: [],
		unseen: "dangerous undetected: covered by the wet proof test",
		relaxes: { "no free water past the bowl": "the probe does not see it" },
	},
	"stop-button-struck": {
		what: "something falls against the stop button",
		lateS: 2,
		trips: ["stop-button"],
	},
	"converter-silent": {
		what: "the converter's plug is off: nothing answers at its address",
		trips: ["sensor-fault"],
	},
	"board-stops-answering": {
		what: "the board hangs: no report, no write",
		trips: ["board-lost"],
		// The dead-man opens before the board is missed.
		lateS: 2,
	},
	"board-resets": {
		what: "the board is held in reset, by a finger or its watchdog: its pins float; then it boots",
		trips: ["board-lost"],
		lateS: 2,
	},
	"board-browns-out": {
		what: "the board's supply sags: reset under 2.7 V, above that it hangs until it is reset",
		size: { unit: "V left", min: 0.5, usual: 2, max: 3.6, atOnce: true },
		trips: ["board-lost"],
		lateS: 2,
	},
	"usb-unplugged": {
		what: "the cable between computer and board is out, and the board's supply with it",
		trips: ["board-lost"],
		lateS: 2,
	},
	"serial-bytes-lost": {
		what: "the line between computer and board loses bytes, each way",
		size: { unit: "% of the bytes", min: 0.1, usual: 60, max: 100, atOnce: true },
		trips: ["board-lost"],
		lateS: 2,
		relaxes: {
			"litres as pumped": "pulses of the meter are lost with the bytes",
			"hours as pumped":
				"edges of the beat are lost with the bytes: contact K2 lets go now and then",
		},
		// A pulse is two messages of three bytes: six times the share.
		relaxesOnly: (size) => size > 0.2,
	},
	"beat-forged": {
		what: "a byte went wrong on the line: the beat's pin makes edges by itself, for ever",
		trips: ["beat-forged", "board-lost"],
		relaxes: {
			"pump off after a dead controller": "the dead-man sees edges: only the run timer is left",
		},
	},
	"log-fails": { what: "the record store reports a failure", trips: ["log-failed"] },
	"log-slow": {
		what: "the disk takes its time: a record is on it so much later",
		size: { unit: "s", min: 0.5, usual: 20, max: 60, atOnce: true },
		trips: ["log-failed"],
	},
	"controller-restarts": {
		what: "the controller's computer loses its supply for a moment and starts again",
		trips: ["interrupted"],
		relaxes: { "litres as pumped": "what came since the last sample is not on disk" },
		lateS: UNWRITTEN_S,
	},
	"controller-hangs": {
		what: "no tick is completed any more",
		trips: [],
		lateS: UNWRITTEN_S,
		unseen: "no software is left to trip: the dead-man opens",
	},
} as const satisfies Record<string, FaultRow>;

export type Fault = keyof typeof worldRows | SensorFault;

export const faultRows: Readonly<Record<Fault, FaultRow>> = { ...worldRows, ...sensorFaultRows };

export const faults = Object.keys(faultRows) as Fault[];

/** A fault that is there: it grows from nothing to its size in so many seconds. */
export interface Ailment {
	readonly size: number;
	readonly sinceS: number;
	readonly overS: number;
}

/** Size at a time, in the fault's own unit; 0 for one without a size. */
export function sizeAt(fault: Fault, { size, sinceS, overS }: Ailment, atS: number): number {
	const row = faultRows[fault];
	const none = row.size?.none ?? 0;
	const grown = overS <= 0 ? 1 : Math.min(1, (atS - sinceS) / overS);
	return none + (size - none) * grown;
}

/** The size that a fault has where nobody says. */
export function usualSize(fault: Fault): number {
	const row = faultRows[fault];
	return row.size?.usual ?? 0;
}
