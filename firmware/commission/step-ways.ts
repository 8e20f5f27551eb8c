// How each step goes, by its kind, and what makes it due again: what the controller needs of the
// catalogue, in the order in which a box is proven. Its words stand apart (step-rows.ts has both).
// Imports types.

import type { TripCode } from "../cycle/trips.ts";
import type { Entry, Look, StepWay } from "./steps.ts";

const text = (name: string, words: string): Entry => ({ name, words });
const number = (name: string, words: string, min: number, max: number): Entry => ({
	name,
	words,
	number: { min, max },
});

/** A loop that a person opens and makes again. */
const loop = (made: string, broken: string): readonly Look[] => [
	{ say: made, reads: "made", as: "madeOhm" },
	{ say: broken, reads: "broken", as: "brokenOhm" },
	{ say: made, reads: "made", as: "againOhm" },
];

const ALL = { needs: [], figures: [], everyDays: null } as const;

const rows = {
	identity: {
		...ALL,
		goes: {
			kind: "told",
			entries: [
				text("label", "the rig's name as it stands on the box"),
				number("lampsAlone", "times that the lamp lit with one contact alone", 0, 0),
			],
		},
		parts: ["box", "contacts"],
	},
	lamps: {
		...ALL,
		goes: { kind: "count", shows: ["lamp-pump", "lamp-trip"] },
		parts: ["box"],
	},
	horn: {
		...ALL,
		goes: { kind: "count", shows: ["horn"] },
		parts: ["box"],
	},
	button: {
		...ALL,
		goes: { kind: "button" },
		parts: ["box"],
		everyDays: 30,
	},
	"stop-loop": {
		...ALL,
		goes: {
			kind: "look",
			at: "stop",
			looks: loop("The stop button is released.", "Press the stop button."),
		},
		parts: ["contacts", "box"],
		everyDays: 30,
	},
	"return-loop": {
		...ALL,
		needs: ["return-seat"],
		goes: {
			kind: "look",
			at: "returnSeat",
			looks: loop("Lock the return to its filler.", "Unlock it and lift it a finger's width."),
		},
		parts: ["return-fitting"],
		everyDays: 30,
	},
	"tube-loop": {
		...ALL,
		needs: ["tube-seat"],
		goes: {
			kind: "look",
			at: "tubeSeat",
			looks: loop("Seat the tube's head on the filler.", "Lift it a finger's width."),
		},
		parts: ["tube-head"],
		everyDays: 30,
	},
	tray: {
		...ALL,
		needs: ["tray"],
		goes: {
			kind: "look",
			at: "tray",
			looks: loop("The tray is dry.", "Put the sensor into diesel up to its mark."),
		},
		parts: ["tray"],
		everyDays: 90,
	},
	probe: {
		...ALL,
		goes: {
			kind: "look",
			at: "probe",
			looks: [
				{ say: "Hold the probe in air.", reads: "dry", as: "airKohm" },
				{ say: "Dip it into clean diesel.", reads: "dry", as: "fuelKohm" },
				{ say: "Dip it into condensate.", reads: "wet", as: "condensateKohm" },
				{ say: "Dip it into salt water.", reads: "wet", as: "saltKohm" },
				{ say: "Wipe it and dip it into clean diesel.", reads: "dry", as: "wipedKohm" },
			],
		},
		parts: ["probe"],
		everyDays: 30,
	},
	"vacuum-zero": {
		...ALL,
		needs: ["vacuum"],
		goes: {
			kind: "measure",
			of: [{ quantity: "vacuumKpa", against: null, within: 1 }],
			entries: [number("airHpa", "air pressure at the rig, hPa", 850, 1_090)],
		},
		parts: ["gauge", "element", "suction", "tube-head"],
		everyDays: 30,
	},
	"bowl-zero": {
		...ALL,
		needs: ["bowl-tap"],
		goes: {
			kind: "measure",
			of: [{ quantity: "bowlTapKpa", against: null, within: 1 }],
			entries: [number("airHpa", "air pressure at the rig, hPa", 850, 1_090)],
		},
		parts: ["bowl-gauge", "element", "suction", "tube-head"],
		everyDays: 30,
	},
	levels: {
		...ALL,
		needs: ["level-from", "level-to"],
		goes: {
			kind: "measure",
			of: [
				{ quantity: "levelFrom", against: "dipFrom", within: 0.03 },
				{ quantity: "levelTo", against: "dipTo", within: 0.03 },
			],
			entries: [
				number("dipFrom", "dipped under the tube, share of the tank, 0 to 1", 0.05, 1),
				number("dipTo", "dipped under the return, share of its tank, 0 to 1", 0.05, 1),
			],
		},
		parts: ["senders"],
	},
	thermometers: {
		...ALL,
		needs: ["fuel-temperature", "case-temperature"],
		goes: {
			kind: "measure",
			of: [
				{ quantity: "fuelC", against: "thermometerC", within: 2 },
				{ quantity: "caseC", against: "thermometerC", within: 2 },
			],
			entries: [number("thermometerC", "the thermometer, °C", -10, 60)],
		},
		parts: ["thermistors"],
		everyDays: 365,
	},
	supply: {
		...ALL,
		goes: {
			kind: "measure",
			of: [{ quantity: "supplyVolts", against: "meterVolts", within: 0.2 }],
			entries: [number("meterVolts", "the multimeter, V", 8, 32)],
		},
		parts: ["monitor"],
		everyDays: 365,
	},
	"run-timer": {
		...ALL,
		goes: {
			kind: "told",
			entries: [
				number("openedHours", "K2 opened after, h", 4, 4.5),
				number("closedAgain", "times that it closed again before the beat ended", 0, 0),
			],
		},
		parts: ["contacts"],
		everyDays: 365,
	},
	"leak-test": {
		...ALL,
		goes: {
			kind: "told",
			entries: [
				number("fellKpa", "pressure lost in ten minutes, kPa", 0, 3),
				number("wetJoints", "joints that the cloth found wet", 0, 0),
			],
		},
		parts: ["suction", "return-fitting", "tube-head", "element"],
	},
	prime: {
		...ALL,
		goes: { kind: "run", watches: "prime" },
		parts: ["pump", "suction", "tube-head"],
	},
	amps: {
		...ALL,
		goes: { kind: "run", watches: "amps" },
		parts: ["monitor", "pump"],
		everyDays: 365,
	},
	"dead-man": {
		...ALL,
		goes: { kind: "cut", by: "beat" },
		parts: ["contacts", "box"],
		everyDays: 30,
	},
	"stop-cuts": {
		...ALL,
		goes: { kind: "cut", by: "hand" },
		parts: ["contacts", "box"],
		everyDays: 30,
	},
	"return-cuts": {
		...ALL,
		needs: ["return-seat"],
		goes: { kind: "cut", by: "hand" },
		parts: ["return-fitting", "contacts"],
		everyDays: 30,
	},
	meter: {
		...ALL,
		goes: { kind: "fills" },
		parts: ["meter", "pump"],
		figures: ["meter.pulsesPerLitre"],
		everyDays: 180,
	},
	element: {
		...ALL,
		needs: ["vacuum"],
		goes: { kind: "run", watches: "element" },
		parts: ["element", "gauge"],
		figures: ["element.cleanKpa"],
	},
	siphon: {
		...ALL,
		goes: { kind: "run", watches: "siphon" },
		parts: ["return-fitting"],
	},
	"trip-water": trip("water-in-bowl", {
		parts: ["probe", "element"],
		everyDays: 30,
	}),
	"trip-dry": trip("dry-run", {
		parts: ["meter", "pump"],
		everyDays: 365,
	}),
	"trip-leak": trip("leak", {
		needs: ["tray"],
		parts: ["tray"],
		everyDays: 90,
	}),
	"trip-return": trip("return-out", {
		needs: ["return-seat"],
		parts: ["return-fitting"],
		everyDays: 30,
	}),
	"trip-tube": trip("tube-out", {
		needs: ["tube-seat"],
		parts: ["tube-head"],
		everyDays: 30,
	}),
	"trip-suction": trip("suction-blocked", {
		needs: ["vacuum"],
		parts: ["gauge"],
		everyDays: 365,
	}),
	"trip-discharge": trip("discharge-blocked", {
		needs: ["pressure-switch"],
		parts: ["pressure-switch", "pump"],
		everyDays: 365,
	}),
	"trip-stop": trip("stop-button", {
		parts: ["contacts", "box"],
		everyDays: 30,
	}),
	"trip-board": trip("board-lost", {
		parts: ["box"],
		everyDays: 30,
	}),
} as const satisfies Record<string, StepWay>;

function trip(code: TripCode, row: Partial<StepWay> & Pick<StepWay, "parts">): StepWay {
	return { ...ALL, ...row, goes: { kind: "trip", code } };
}

export type Step = keyof typeof rows;
export const steps = Object.keys(rows) as Step[];
export const stepWays: Readonly<Record<Step, StepWay>> = rows;
