// The faults that the model can have, one row each: what breaks and which trip must answer.
// Happens: a tube out of the fuel, welded contacts, cut and shorted wires, a meter that stands
// still, a controller that hangs. Never happens here: two boards, a changed pin map, wrong parts.

import type { TripCode } from "../firmware/cycle/trips.ts";

export interface FaultRow {
	readonly what: string;
	/** The trip that answers; `dead-man` where no software is left to trip. */
	readonly answer: TripCode | "dead-man";
}

export const faultRows = {
	"tube-lifted": { what: "the tube's end is out of the fuel: air comes", answer: "dry-run" },
	"k1-welded": { what: "contact K1 stays closed", answer: "relay-stuck" },
	"k2-welded": { what: "contact K2 stays closed", answer: "relay-stuck" },
	"probe-wire-cut": { what: "the water probe's wire is cut", answer: "sensor-fault" },
	"probe-wire-shorted": { what: "the water probe's wire is shorted", answer: "sensor-fault" },
	"stop-wire-cut": { what: "the stop loop's sensing wire is cut", answer: "sensor-fault" },
	"meter-stands-still": { what: "the flow meter gives no pulses", answer: "dry-run" },
	"board-stops-answering": { what: "the board hangs: no report, no write", answer: "board-lost" },
	"log-fails": { what: "the record store reports a failure", answer: "log-failed" },
	"controller-hangs": { what: "no tick is completed any more", answer: "dead-man" },
} as const satisfies Record<string, FaultRow>;

export type Fault = keyof typeof faultRows;

export const faults = Object.keys(faultRows) as Fault[];
