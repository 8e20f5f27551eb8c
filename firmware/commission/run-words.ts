// The words of the steps that need the pump: what a run shows, K2 opened in it, the can, each trip
// by hand; with the hazards and proof tests of hardware/hazards.yaml that they are. A figure
// without a source is common practice. The controller does without them.

import { FUEL } from "./fuel-words.ts";
import type { StepWords } from "./steps.ts";

export const runWords = {
	prime: {
		title: "Prime time, and current without and with fuel",
		how: "Bowl filled by hand, tube and return in one tank. Order an attended polish of 1 L.",
		cautions: FUEL,
		hazards: ["no-prime", "dry-pump", "motor-does-not-run", "motor-stalls"],
	},
	amps: {
		title: "Pump current beside a clamp meter",
		how: "Order an attended polish of 2 L, clamp meter round the pump's wire; type what it shows.",
		cautions: "Keep the clamp's leads clear of fuel.",
		proofTests: ["volts-and-amps"],
		hazards: ["motor-stalls", "motor-does-not-run"],
	},
	"dead-man": {
		title: "The dead-man opens when the beat ends",
		how:
			"Order an attended polish of 5 L. Once it pumps the controller holds its beat still while " +
			"K1 stays closed, and times the current. It trips; acknowledge at the box afterwards.",
		cautions: FUEL,
		proofTests: ["dead-man"],
		hazards: ["computer-dies", "contact-welds", "power-returns"],
	},
	"stop-cuts": {
		title: "The stop button cuts without the computer",
		how:
			"Put a test plug in place of the button's second pole (J1), so that the computer sees " +
			"nothing of it. Order an attended polish of 5 L; once it pumps, press the stop button.",
		cautions: "The test plug goes back into its bag before the next step, which asks for it.",
		proofTests: ["stop-button"],
		hazards: ["stop-wanted", "person-hurt"],
	},
	"return-cuts": {
		title: "A lifted return cuts without the computer",
		how:
			"Test plug in place of the return switch's second pole (J2). Order an attended polish of " +
			"5 L; once it pumps, unlock the return and lift it by a finger's width.",
		cautions: "Cloth round the filler, the hose's end inside it. Take the test plug out again.",
		proofTests: ["seat-switches"],
		hazards: ["return-falls-out"],
	},
	meter: {
		title: "The meter's factor, by can and stopwatch",
		how:
			"Take the return's hose off its head, which stays locked on the filler, and tie it into a " +
			"marked can in the tray. Attended polishes, at least three fills of one size. After each " +
			"type the can's litres, how well you can read it (its standard uncertainty) and the seconds.",
		cautions:
			"Can and tube bonded, no splashing. Pour back through a fine funnel, or keep as waste.",
		proofTests: ["can-and-meter"],
		hazards: ["litres-lost", "taken-for-clean"],
	},
	element: {
		title: "The clean element's restriction, as the base of its trend",
		how: "A new element, clean fuel at the day's temperature. Order an attended polish of 5 L.",
		cautions: FUEL,
		hazards: ["element-plugged"],
	},
	siphon: {
		title: "Nothing siphons after the pump has stopped",
		how:
			"Look through the anti-siphon hole, then lock the return. Order an attended polish of 2 L. " +
			"After it, wait two minutes; then hold the tube's end over a cup and type the mL in it.",
		cautions: "Stay there, hand at the valve.",
		proofTests: ["anti-siphon"],
		hazards: ["siphon-after-stop", "slow-siphon"],
	},
	"trip-water": {
		title: "Trip: water at the probe",
		how:
			"Attended polish of 20 L. Vent hose in a jug of tap water, vent a little open, so that the " +
			"bowl draws it in; no more in the jug than the rig file's sump and half of the room above.",
		cautions:
			"Vent shut before the jug is empty. Drain with the isolator off and locked; oily waste.",
		proofTests: ["wet-probe"],
		hazards: ["water-over"],
	},
	"trip-dry": {
		title: "Trip: the tube out of the fuel",
		how: "Attended polish of 20 L. Lift the tube's foot out of the fuel, its head still seated.",
		cautions: "Cloth under the tube. The pump must not run dry for longer than its maker allows.",
		hazards: ["dry-pump", "source-runs-low"],
	},
	"trip-leak": {
		title: "Trip: diesel in the tray",
		how: "Attended polish of 20 L. Pour diesel into the tray from a measure, 0.25 L at most.",
		cautions: "Soak it up before you go on. Diesel, not water.",
		proofTests: ["tray-with-diesel"],
		hazards: ["hose-leaks", "bilge-pump-overboard"],
	},
	"trip-return": {
		title: "Trip: the return unlocked",
		how: "Attended polish of 20 L. Unlock the return and lift it by a finger's width, no further.",
		cautions: "Cloth round the filler, the hose's end inside it.",
		proofTests: ["seat-switches"],
		hazards: ["return-falls-out"],
	},
	"trip-tube": {
		title: "Trip: the tube's head lifted",
		how: "Attended polish of 20 L. Lift the tube's head from the filler by a finger's width.",
		cautions: "Its foot stays in the fuel.",
		proofTests: ["seat-switches"],
		hazards: ["tube-moved"],
	},
	"trip-suction": {
		title: "Trip: the suction blocked",
		how:
			"Attended polish of 20 L. Let it pump for half a minute, by which the controller knows " +
			"what is sudden; then shut the suction valve within some seconds.",
		cautions: "Open it again as soon as the pump stops.",
		hazards: ["suction-blocked"],
	},
	"trip-discharge": {
		title: "Trip: the return shut",
		how:
			"Isolator off and locked: by meter and hand pump the pole in K2's loop opens at its " +
			"pressure. Then an attended polish of 20 L. Close the return's valve slowly.",
		cautions: "Eye protection; stand away from the hose. Let the pressure off into a can.",
		proofTests: ["shut-return"],
		hazards: ["discharge-shut"],
	},
	"trip-stop": {
		title: "Trip: the stop button, as anybody would press it",
		how: "No test plug anywhere. Attended polish of 20 L; press the stop button.",
		cautions: FUEL,
		proofTests: ["stop-button"],
		hazards: ["stop-wanted"],
	},
	"trip-board": {
		title: "Trip: the board's cable pulled",
		how: "Attended polish of 20 L. Pull the board's USB plug; put it back after ten seconds.",
		cautions: "Hand at the stop button the whole time.",
		proofTests: ["dead-man"],
		hazards: ["board-lost", "computer-dies"],
	},
} as const satisfies Record<string, StepWords>;
