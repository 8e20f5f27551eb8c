// The status of a controller that waits, as a link gives it: what tests of the link begin from.
// Invented.

import type { Status } from "../../firmware/link/protocol.ts";

export const IDLE: Status = {
	monoMs: 724_000,
	state: "idle",
	trips: [],
	pumpDemanded: false,
	armed: null,
	heldFor: [],
	order: null,
	localTime: "2026-11-29T10:00",
	planned: [],
	waits: null,
	run: { motorMs: 0, pulses: 0 },
	pulsesPerLitre: 420,
	durableSeq: 1_234,
	logFailed: false,
	tickLateMsMax: 2,
	ticks: 7_240,
};
