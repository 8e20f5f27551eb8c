// The catalogue of the steps, in the order in which a box is proven: what needs no fuel first, then
// what needs the pump, then each trip by hand. Words for the person at the rig; a figure without a
// source is common practice. Imports types and the patience of the steps.

import type { Entry, Look, StepRow } from "./steps.ts";

const text = (name: string, words: string): Entry => ({ name, words });
const number = (name: string, words: string, min: number, max: number): Entry => ({
	name,
	words,
	number: { min, max },
});

const NO_FUEL = "No fuel is near. The motor's plug is out until the step that asks for it.";
const FUEL =
	"Fuel burns: no flame, no spark, fresh air. Tray and absorbent in place, hand at the stop button.";

/** A loop that a person opens and makes again. */
const loop = (made: string, broken: string): readonly Look[] => [
	{ say: made, reads: "made", as: "madeOhm" },
	{ say: broken, reads: "broken", as: "brokenOhm" },
	{ say: made, reads: "made", as: "againOhm" },
];

const ALL = { needs: [], figures: [], proofTests: [], everyDays: null } as const;

const rows = {
	identity: {
		...ALL,
		title: "The rig, its file and its pins",
		how:
			"Compare the wiring with the drawing: fuse at the battery, isolator, K2, K1, pump. With a " +
			"lamp in the motor's place close each contact alone: dark; both: lit. Type the rig's name as " +
			"it stands on the box, and your initials.",
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
			"Out of the bowl, on a cloth: in air, in clean diesel, in condensate (distilled water with a " +
			"pinch of tap water), in salt water, and wiped, in diesel again.",
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
			"Tube and return in one tank. Dip it by stick, turn the dip into a share of the tank by its " +
			"table, and type it for both senders.",
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
			"Motor's plug out. Feed the dead-man's input with 5 Hz from a generator, and leave it for the " +
			"afternoon. Type after how many hours K2 opened, and whether it stayed open.",
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
			"Bowl and lines filled by hand, suction valve shut, ends plugged. A hand pump on the return: " +
			"0.3 bar for ten minutes. Then a dry cloth along each joint.",
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
	prime: {
		...ALL,
		title: "Prime time, and current without and with fuel",
		how: "Bowl filled by hand, tube and return in one tank. Order an attended polish of 1 L.",
		cautions: FUEL,
		goes: { kind: "run", watches: "prime" },
		parts: ["pump", "suction", "tube-head"],
		hazards: ["no-prime", "dry-pump", "motor-does-not-run", "motor-stalls"],
	},
	amps: {
		...ALL,
		title: "Pump current beside a clamp meter",
		how: "Order an attended polish of 2 L, clamp meter round the pump's wire; type what it shows.",
		cautions: "Keep the clamp's leads clear of fuel.",
		goes: { kind: "run", watches: "amps" },
		parts: ["monitor"],
		everyDays: 365,
		proofTests: ["volts-and-amps"],
		hazards: ["motor-stalls", "motor-does-not-run"],
	},
	"dead-man": {
		...ALL,
		title: "The dead-man opens when the beat ends",
		how:
			"Order an attended polish of 5 L. Once it pumps the controller holds its beat still while " +
			"K1 stays closed, and times the current. It trips; acknowledge at the box afterwards.",
		cautions: FUEL,
		goes: { kind: "cut", by: "beat" },
		parts: ["contacts", "box"],
		everyDays: 30,
		proofTests: ["dead-man"],
		hazards: ["computer-dies", "contact-welds", "power-returns"],
	},
	"stop-cuts": {
		...ALL,
		title: "The stop button cuts without the computer",
		how:
			"Put a test plug in place of the button's second pole (J1), so that the computer sees nothing " +
			"of it. Order an attended polish of 5 L; once it pumps, press the stop button.",
		cautions: "The test plug goes back into its bag before the next step, which asks for it.",
		goes: { kind: "cut", by: "hand" },
		parts: ["contacts"],
		everyDays: 30,
		proofTests: ["stop-button"],
		hazards: ["stop-wanted", "person-hurt"],
	},
	"return-cuts": {
		...ALL,
		needs: ["return-seat"],
		title: "A lifted return cuts without the computer",
		how:
			"Test plug in place of the return switch's second pole (J2). Order an attended polish of 5 L; " +
			"once it pumps, unlock the return and lift it by a finger's width.",
		cautions: "Cloth round the filler, the hose's end inside it. Take the test plug out again.",
		goes: { kind: "cut", by: "hand" },
		parts: ["return-fitting", "contacts"],
		everyDays: 30,
		proofTests: ["seat-switches"],
		hazards: ["return-falls-out"],
	},
	meter: {
		...ALL,
		title: "The meter's factor, by can and stopwatch",
		how:
			"Return into a marked can in the tray, locked to its neck. Attended polishes, at least three " +
			"fills of one size. After each type the can's litres, how well you can read it, and the seconds.",
		cautions:
			"Can and tube bonded, no splashing. Pour back through a fine funnel, or keep as waste.",
		goes: { kind: "fills" },
		parts: ["meter", "pump"],
		figures: ["meter.pulsesPerLitre"],
		everyDays: 180,
		proofTests: ["can-and-meter"],
		hazards: ["litres-lost", "taken-for-clean"],
	},
	element: {
		...ALL,
		needs: ["vacuum"],
		title: "The clean element's restriction, as the base of its trend",
		how: "A new element, clean fuel at the day's temperature. Order an attended polish of 5 L.",
		cautions: FUEL,
		goes: { kind: "run", watches: "element" },
		parts: ["element", "gauge"],
		figures: ["element.cleanKpa"],
		hazards: ["element-plugged"],
	},
	siphon: {
		...ALL,
		title: "Nothing siphons after the pump has stopped",
		how:
			"Look through the anti-siphon hole, then lock the return. Order an attended polish of 2 L. " +
			"After it, wait two minutes; then hold the tube's end over a cup and type the mL in it.",
		cautions: "Stay there, hand at the valve.",
		goes: { kind: "run", watches: "siphon" },
		parts: ["return-fitting"],
		proofTests: ["anti-siphon"],
		hazards: ["siphon-after-stop", "slow-siphon"],
	},
	"trip-water": trip("water-in-bowl", {
		title: "Trip: water at the probe",
		how:
			"Attended polish of 20 L. Vent hose in a jug of tap water, vent a little open, so that the " +
			"bowl draws it in; no more in the jug than the rig file's sump and half of the room above.",
		cautions:
			"Vent shut before the jug is empty. Drain with the isolator off and locked; oily waste.",
		parts: ["probe", "element"],
		everyDays: 30,
		proofTests: ["wet-probe"],
		hazards: ["water-over"],
	}),
	"trip-dry": trip("dry-run", {
		title: "Trip: the tube out of the fuel",
		how: "Attended polish of 20 L. Lift the tube's foot out of the fuel, its head still seated.",
		cautions: "Cloth under the tube. The pump must not run dry for longer than its maker allows.",
		parts: ["meter", "pump"],
		everyDays: 365,
		hazards: ["dry-pump", "source-runs-low"],
	}),
	"trip-leak": trip("leak", {
		needs: ["tray"],
		title: "Trip: diesel in the tray",
		how: "Attended polish of 20 L. Pour diesel into the tray from a measure, 0.25 L at most.",
		cautions: "Soak it up before you go on. Diesel, not water.",
		parts: ["tray"],
		everyDays: 90,
		proofTests: ["tray-with-diesel"],
		hazards: ["hose-leaks", "bilge-pump-overboard"],
	}),
	"trip-return": trip("return-out", {
		needs: ["return-seat"],
		title: "Trip: the return unlocked",
		how: "Attended polish of 20 L. Unlock the return and lift it by a finger's width, no further.",
		cautions: "Cloth round the filler, the hose's end inside it.",
		parts: ["return-fitting"],
		everyDays: 30,
		proofTests: ["seat-switches"],
		hazards: ["return-falls-out"],
	}),
	"trip-tube": trip("tube-out", {
		needs: ["tube-seat"],
		title: "Trip: the tube's head lifted",
		how: "Attended polish of 20 L. Lift the tube's head from the filler by a finger's width.",
		cautions: "Its foot stays in the fuel.",
		parts: ["tube-head"],
		everyDays: 30,
		proofTests: ["seat-switches"],
		hazards: ["tube-moved"],
	}),
	"trip-suction": trip("suction-blocked", {
		needs: ["vacuum"],
		title: "Trip: the suction blocked",
		how: "Attended polish of 20 L. Shut the suction valve within some seconds.",
		cautions: "Open it again as soon as the pump stops.",
		parts: ["gauge"],
		everyDays: 365,
		hazards: ["suction-blocked"],
	}),
	"trip-discharge": trip("discharge-blocked", {
		needs: ["pressure-switch"],
		title: "Trip: the return shut",
		how:
			"Isolator off and locked: by meter and hand pump the pole in K2's loop opens at its pressure. " +
			"Then an attended polish of 20 L. Close the return's valve slowly.",
		cautions: "Eye protection; stand away from the hose. Let the pressure off into a can.",
		parts: ["pressure-switch", "pump"],
		everyDays: 365,
		proofTests: ["shut-return"],
		hazards: ["discharge-shut"],
	}),
	"trip-stop": trip("stop-button", {
		title: "Trip: the stop button, as anybody would press it",
		how: "No test plug anywhere. Attended polish of 20 L; press the stop button.",
		cautions: FUEL,
		parts: ["contacts"],
		everyDays: 30,
		proofTests: ["stop-button"],
		hazards: ["stop-wanted"],
	}),
	"trip-board": trip("board-lost", {
		title: "Trip: the board's cable pulled",
		how: "Attended polish of 20 L. Pull the board's USB plug; put it back after ten seconds.",
		cautions: "Hand at the stop button the whole time.",
		parts: ["box"],
		everyDays: 30,
		proofTests: ["dead-man"],
		hazards: ["board-lost", "computer-dies"],
	}),
} as const satisfies Record<string, StepRow>;

function trip<R extends Partial<StepRow> & Pick<StepRow, "title" | "how" | "cautions">>(
	code: Extract<StepRow["goes"], { kind: "trip" }>["code"],
	row: R & Pick<StepRow, "parts" | "hazards">,
) {
	return { ...ALL, ...row, goes: { kind: "trip", code } as const };
}

export type Step = keyof typeof rows;
export const steps = Object.keys(rows) as Step[];
export const stepRows: Readonly<Record<Step, StepRow>> = rows;
