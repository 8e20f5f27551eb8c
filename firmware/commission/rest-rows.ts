// The steps that are proven at rest, in their order: what needs no fuel first. Words for the person
// at the rig; a figure without a source is common practice. Imports types and common parts.

import { ALL, FUEL } from "./step-parts.ts";
import type { Entry, Look, StepRow } from "./steps.ts";

const text = (name: string, words: string): Entry => ({ name, words });
const number = (name: string, words: string, min: number, max: number): Entry => ({
	name,
	words,
	number: { min, max },
});

const NO_FUEL = "No fuel is near. The motor's plug is out until the step that asks for it.";

/** A loop that a person opens and makes again. */
const loop = (made: string, broken: string): readonly Look[] => [
	{ say: made, reads: "made", as: "madeOhm" },
	{ say: broken, reads: "broken", as: "brokenOhm" },
	{ say: made, reads: "made", as: "againOhm" },
];

export const restRows = {
	identity: {
		...ALL,
		title: "The rig, its file and its pins",
		how:
			"Compare the wiring with the drawing: fuse at the battery, isolator, K2, K1, pump. With a " +
			"lamp in the motor's place close each contact alone: dark; both: lit. Type the rig's name " +
			"as it stands on the box.",
		cautions: "Battery disconnected while you wire. A licensed person where the law asks for one.",
		goes: {
			kind: "told",
			entries: [
				text("label", "the rig's name as it stands on the box"),
				number("lampsAlone", "times that the lamp lit with one contact alone", 0, 0),
			],
		},
		parts: ["box", "contacts"],
		proofTests: ["first-wiring"],
		hazards: ["wrong-wiring"],
	},
	lamps: {
		...ALL,
		title: "Both lamps",
		how: "Watch the box. Pump lamp, then trip lamp flash one to six times each; say how often.",
		cautions: NO_FUEL,
		goes: { kind: "count", shows: ["lamp-pump", "lamp-trip"] },
		parts: ["box"],
		hazards: ["person-hurt"],
	},
	horn: {
		...ALL,
		title: "The horn",
		how: "Listen from where you would sleep. The horn sounds one to six times; say how often.",
		cautions: "It is loud: keep away from the box.",
		goes: { kind: "count", shows: ["horn"] },
		parts: ["box"],
		hazards: ["person-hurt"],
	},
	button: {
		...ALL,
		title: "The acknowledge button is silent by itself",
		how: "Touch nothing for ten seconds, but bend the button's cable. Then press it once.",
		cautions: NO_FUEL,
		goes: { kind: "button" },
		parts: ["box"],
		everyDays: 30,
		proofTests: ["button-at-rest"],
		hazards: ["order-nobody-expects"],
	},
	"stop-loop": {
		...ALL,
		title: "The stop button is seen",
		how: "Released, pressed, and turned to release it again.",
		cautions: NO_FUEL,
		goes: {
			kind: "look",
			at: "stop",
			looks: loop("The stop button is released.", "Press the stop button."),
		},
		parts: ["contacts"],
		everyDays: 30,
		proofTests: ["stop-button"],
		hazards: ["stop-wanted"],
	},
	"return-loop": {
		...ALL,
		needs: ["return-seat"],
		title: "The return's switch is seen",
		how: "Locked to the filler, lifted by a finger's width, and locked again.",
		cautions: NO_FUEL,
		goes: {
			kind: "look",
			at: "returnSeat",
			looks: loop("Lock the return to its filler.", "Unlock it and lift it a finger's width."),
		},
		parts: ["return-fitting"],
		everyDays: 30,
		proofTests: ["seat-switches"],
		hazards: ["return-falls-out"],
	},
	"tube-loop": {
		...ALL,
		needs: ["tube-seat"],
		title: "The tube's switch is seen",
		how: "Seated, lifted by a finger's width, and seated again.",
		cautions: NO_FUEL,
		goes: {
			kind: "look",
			at: "tubeSeat",
			looks: loop("Seat the tube's head on the filler.", "Lift it a finger's width."),
		},
		parts: ["tube-head"],
		everyDays: 30,
		proofTests: ["seat-switches"],
		hazards: ["tube-moved"],
	},
	tray: {
		...ALL,
		needs: ["tray"],
		title: "The tray's sensor sees diesel",
		how: "Dry, then in a cup of diesel up to its mark, then wiped dry. Water would prove nothing.",
		cautions: FUEL,
		goes: {
			kind: "look",
			at: "tray",
			looks: loop("The tray is dry.", "Put the sensor into diesel up to its mark."),
		},
		parts: ["tray"],
		everyDays: 90,
		proofTests: ["tray-with-diesel"],
		hazards: ["hose-leaks"],
	},
	probe: {
		...ALL,
		title: "The water probe tells water from air and fuel",
		how:
			"Out of the bowl, on a cloth: in air, in clean diesel, in condensate (distilled water with " +
			"a pinch of tap water), in salt water, and wiped, in diesel again.",
		cautions: FUEL,
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
		proofTests: ["wet-probe"],
		hazards: ["water-over", "film-on-probe"],
	},
	"vacuum-zero": {
		...ALL,
		needs: ["vacuum"],
		title: "The vacuum's zero at the day's air pressure",
		how: "Pump off for a minute, the bowl's vent open. Read the barometer, or ask the harbour.",
		cautions: FUEL,
		goes: {
			kind: "measure",
			of: [{ quantity: "vacuumKpa", against: null, within: 1 }],
			entries: [number("airHpa", "air pressure at the rig, hPa", 850, 1_090)],
		},
		parts: ["gauge"],
		everyDays: 30,
		proofTests: ["vacuum-zero"],
		hazards: ["suction-blocked", "element-plugged", "sensor-lies"],
	},
	"bowl-zero": {
		...ALL,
		needs: ["bowl-tap"],
		title: "The zero of the tap between bowl and element",
		how: "As for the vacuum: pump off for a minute, the bowl's vent open.",
		cautions: FUEL,
		goes: {
			kind: "measure",
			of: [{ quantity: "bowlTapKpa", against: null, within: 1 }],
			entries: [number("airHpa", "air pressure at the rig, hPa", 850, 1_090)],
		},
		parts: ["bowl-gauge"],
		everyDays: 30,
		proofTests: ["vacuum-zero"],
		hazards: ["tube-or-element"],
	},
	levels: {
		...ALL,
		needs: ["level-from", "level-to"],
		title: "The level senders agree with the dip stick",
		how:
			"Tube and return in one tank. Dip it by stick, turn the dip into a share of the tank by " +
			"its table, and type it for both senders.",
		cautions: "No flame near an open filler. Wipe the stick over the tray.",
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
		proofTests: ["level-and-dip"],
		hazards: ["tank-overflows", "return-in-another-tank", "return-falls-out", "vent-blocked"],
	},
	thermometers: {
		...ALL,
		needs: ["fuel-temperature", "case-temperature"],
		title: "Both temperature sensors beside a thermometer",
		how: "Both sensors and a thermometer lie together for ten minutes. Type what it reads.",
		cautions: "Keep water away from the fuel side. Fix the case's sensor again firmly.",
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
		proofTests: ["ice-bath"],
		hazards: ["fuel-cold", "bowl-freezes", "motor-overheats"],
	},
	supply: {
		...ALL,
		title: "Supply volts beside a meter",
		how: "Isolator on, pump off. Measure at the pump's fuse with a multimeter.",
		cautions: "Guarded probes, no open fuel near. One slip shorts the battery; the fuse is in.",
		goes: {
			kind: "measure",
			of: [{ quantity: "supplyVolts", against: "meterVolts", within: 0.2 }],
			entries: [number("meterVolts", "the multimeter, V", 8, 32)],
		},
		parts: ["monitor"],
		everyDays: 365,
		proofTests: ["volts-and-amps"],
		hazards: ["battery-flat", "charger-too-high"],
	},
	"run-timer": {
		...ALL,
		title: "The run timer opens K2",
		how:
			"Motor's plug out. Feed the dead-man's input with 5 Hz from a generator, and leave it for " +
			"the afternoon. Type after how many hours K2 opened, and whether it stayed open.",
		cautions: "The pump must not be able to turn. Isolator off while you connect.",
		goes: {
			kind: "told",
			entries: [
				number("openedHours", "K2 opened after, h", 3.9, 4.9),
				number("closedAgain", "times that it closed again before the beat ended", 0, 0),
			],
		},
		parts: ["contacts"],
		everyDays: 365,
		proofTests: ["run-timer"],
		hazards: ["beat-forged", "runs-for-ever"],
	},
	"leak-test": {
		...ALL,
		title: "The hoses are tight",
		how:
			"Bowl and lines filled by hand, suction valve shut, ends plugged. A hand pump on the " +
			"return: 0.3 bar for ten minutes. Then a dry cloth along each joint.",
		cautions: FUEL,
		goes: {
			kind: "told",
			entries: [
				number("fellKpa", "pressure lost in ten minutes, kPa", 0, 3),
				number("wetJoints", "joints that the cloth found wet", 0, 0),
			],
		},
		parts: ["suction", "return-fitting", "tube-head"],
		hazards: ["hose-leaks"],
	},
} as const satisfies Record<string, StepRow>;
