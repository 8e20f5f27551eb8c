// What a link gives away of a rig that is not there: for tests and measurements of all else.
// Invented.

import { Pairing } from "../../firmware/link/pairing.ts";
import type { Senses } from "../../firmware/link/protocol.ts";
import { RigText } from "../../firmware/link/rig-text.ts";

/** The code that is drawn. */
export const CODE = "123456";

export const SHOWN = {
	rigText: new RigText("rig: invented\n"),
	proofs: () => ({ rows: [], total: 0, dueCount: 0 }),
	trialNow: () => ({ trial: null, last: null }),
	fills: () => ({ fills: [], perLitre: null, uncertaintyPct: null, pumpLph: null, pumpPct: null }),
	pairing: new Pairing({ draw: () => CODE, show: () => {}, clock: () => performance.now() }),
};

export const NO_SENSES = { monoMs: 0, commissioned: false, sensed: null, blocked: [] };

/** What a pump at work senses, invented. */
export const SENSED: NonNullable<Senses["sensed"]> = {
	flowLph: 90.5,
	vacuumKpa: 14.5,
	bowlTapKpa: "not-fitted",
	supplyVolts: 12.6,
	motorAmps: 1.8,
	fuelC: 15,
	caseC: "not-fitted",
	levelFrom: 0.6,
	levelTo: "not-fitted",
	probe: "dry",
	tray: "made",
	stop: "made",
	returnSeat: "made",
	tubeSeat: "made",
};
