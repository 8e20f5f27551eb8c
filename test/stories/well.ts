// A rig with which all is well, as the controller senses it and as a start finds it: what a test
// changes one thing of.

import type { Present } from "../../firmware/cycle/events.ts";
import type { Order } from "../../firmware/cycle/orders.ts";
import type { HardTimes, Sensed } from "../../firmware/sense/sensed.ts";

const noTimes: HardTimes = {
	probeWetMs: 0,
	probeUnknownMs: 0,
	stopUnknownMs: 0,
	trayWetMs: 0,
	returnOutMs: 0,
	lowFlowMs: 0,
	overAmpsMs: 0,
	underVoltsMs: 0,
	overVoltsMs: 0,
	overVacuumMs: 0,
	overFullMs: 0,
	overHotMs: 0,
};

/** Pumping fuel for a minute. */
export const wellSensed: Sensed = {
	...noTimes,
	board: 1,
	beatMode: 1,
	stop: "made",
	probe: "dry",
	flowLph: 95,
	vacuumKpa: 14,
	bowlTapKpa: "not-fitted",
	supplyVolts: 12.6,
	restVolts: 12.7,
	motorAmps: 1.7,
	tray: "made",
	returnSeat: "made",
	tubeSeat: "made",
	pressureSwitch: "made",
	levelFrom: 0.6,
	levelTo: 0.6,
	fuelC: 15,
	caseC: 30,
	buttonPressed: false,
	pulses: 1,
	motorMs: 100,
	noFlowMs: 0,
	pumpOnMs: 60_000,
	dryMs: 0,
	airMs: 0,
	tooLow: false,
	offMs: 0,
	siphonLitres: 0,
	fromMoved: 0,
	toMoved: 0,
	levelGap: 0,
	toLevel: 0.6,
	vacuumRiseKpa: 0,
	pumpingVacuumKpa: 14,
	vacuumGainKpa: 0,
	vacuumLies: null,
	restriction: null,
	plugging: null,
	pipeKpa: null,
	perReferred: null,
	drift: null,
	imbalance: null,
};

export const wellPresent: Present = {
	stop: "made",
	probe: "dry",
	unknown: [],
	unknownOptional: [],
	seen: [],
	blockers: [],
	oneTankBlockers: [],
	holds: [],
	quiet: [],
	depths: { levelFrom: 0.6, levelTo: 0.6 },
	logFailed: false,
	commissioned: true,
	arming: { atMs: 0, tank: null, toTank: null },
	attended: false,
	gaps: [],
};

/** 60 L of the port tank, nobody at the rig, no bursts before. */
export const plainOrder: Order = {
	id: "a",
	work: "polish",
	tank: "port",
	toTank: null,
	goalLitres: 60,
	goalHours: null,
	goalShare: null,
	turnoverLitres: 310,
	dilution: null,
	sweep: null,
	attended: false,
};
