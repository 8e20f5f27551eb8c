// The words of the steps that are proven at rest, for the person at the rig, with the hazards and
// proof tests of hardware/hazards.yaml that they are. A figure without a source is common practice.
// The controller does without them.

import { FUEL, NO_FUEL } from "./fuel-words.ts";
import type { StepWords } from "./steps.ts";

export const restWords = {
	identity: {
		title: "The rig, its file and its pins",
		how:
			"Compare the wiring with the drawing: fuse at the battery, isolator, K2, K1, pump. With a " +
			"lamp in the motor's place close each contact alone: dark; both: lit. Type the rig's name " +
			"as it stands on the box.",
		cautions: "Battery disconnected while you wire. A licensed person where the law asks for one.",
		proofTests: ["first-wiring"],
		hazards: ["wrong-wiring"],
	},
	lamps: {
		title: "Both lamps",
		how: "Watch the box. Pump lamp, then trip lamp flash one to six times each; say how often.",
		cautions: NO_FUEL,
		hazards: ["person-hurt"],
	},
	horn: {
		title: "The horn",
		how: "Listen from where you would sleep. The horn sounds one to six times; say how often.",
		cautions: "It is loud: keep away from the box.",
		hazards: ["person-hurt"],
	},
	button: {
		title: "The acknowledge button is silent by itself",
		how: "Touch nothing for ten seconds, but bend the button's cable. Then press it once.",
		cautions: NO_FUEL,
		proofTests: ["button-at-rest"],
		hazards: ["order-nobody-expects"],
	},
	"stop-loop": {
		title: "The stop button is seen",
		how: "Released, pressed, and turned to release it again.",
		cautions: NO_FUEL,
		proofTests: ["stop-button"],
		hazards: ["stop-wanted"],
	},
	"return-loop": {
		title: "The return's switch is seen",
		how: "Locked to the filler, lifted by a finger's width, and locked again.",
		cautions: NO_FUEL,
		proofTests: ["seat-switches"],
		hazards: ["return-falls-out"],
	},
	"tube-loop": {
		title: "The tube's switch is seen",
		how: "Seated, lifted by a finger's width, and seated again.",
		cautions: NO_FUEL,
		proofTests: ["seat-switches"],
		hazards: ["tube-moved"],
	},
	tray: {
		title: "The tray's sensor sees diesel",
		how: "Dry, then in a cup of diesel up to its mark, then wiped dry. Water would prove nothing.",
		cautions: FUEL,
		proofTests: ["tray-with-diesel"],
		hazards: ["hose-leaks"],
	},
	probe: {
		title: "The water probe tells water from air and fuel",
		how:
			"Out of the bowl, on a cloth: in air, in clean diesel, in condensate (distilled water with " +
			"a pinch of tap water), in salt water, and wiped, in diesel again.",
		cautions: FUEL,
		proofTests: ["wet-probe"],
		hazards: ["water-over", "film-on-probe"],
	},
	"vacuum-zero": {
		title: "The vacuum's zero at the day's air pressure",
		how: "Pump off for a minute, the bowl's vent open. Read the barometer, or ask the harbour.",
		cautions: FUEL,
		proofTests: ["vacuum-zero"],
		hazards: ["suction-blocked", "element-plugged", "sensor-lies"],
	},
	"bowl-zero": {
		title: "The zero of the tap between bowl and element",
		how: "As for the vacuum: pump off for a minute, the bowl's vent open.",
		cautions: FUEL,
		proofTests: ["vacuum-zero"],
		hazards: ["tube-or-element"],
	},
	levels: {
		title: "The level senders agree with the dip stick",
		how:
			"Tube and return in one tank. Dip it by stick, turn the dip into a share of the tank by " +
			"its table, and type it for both senders.",
		cautions: "No flame near an open filler. Wipe the stick over the tray.",
		proofTests: ["level-and-dip"],
		hazards: ["tank-overflows", "return-in-another-tank", "return-falls-out", "vent-blocked"],
	},
	thermometers: {
		title: "Both temperature sensors beside a thermometer",
		how: "Both sensors and a thermometer lie together for ten minutes. Type what it reads.",
		cautions: "Keep water away from the fuel side. Fix the case's sensor again firmly.",
		proofTests: ["ice-bath"],
		hazards: ["fuel-cold", "bowl-freezes", "motor-overheats"],
	},
	supply: {
		title: "Supply volts beside a meter",
		how: "Isolator on, pump off. Measure at the pump's fuse with a multimeter.",
		cautions: "Guarded probes, no open fuel near. One slip shorts the battery; the fuse is in.",
		proofTests: ["volts-and-amps"],
		hazards: ["battery-flat", "charger-too-high"],
	},
	"run-timer": {
		title: "The run timer opens K2",
		how:
			"Motor's plug out. Feed the dead-man's input with 5 Hz from a generator, and leave it for " +
			"the afternoon. Type after how many hours K2 opened, and whether it stayed open.",
		cautions: "The pump must not be able to turn. Isolator off while you connect.",
		proofTests: ["run-timer"],
		hazards: ["beat-forged", "runs-for-ever"],
	},
	"leak-test": {
		title: "The hoses are tight",
		how:
			"Bowl and lines filled by hand, suction valve shut, ends plugged. A hand pump on the " +
			"return: 0.3 bar for ten minutes. Then a dry cloth along each joint.",
		cautions: FUEL,
		hazards: ["hose-leaks"],
	},
} as const satisfies Record<string, StepWords>;
