// The steps that need the pump, in their order: what a run shows, K2 opened in it, the can, and
// then each trip by hand. Each run is an attended order of the person. Words for the person at the
// rig; a figure without a source is common practice. Imports types and common parts.

import { ALL, FUEL } from "./step-parts.ts";
import type { StepRow } from "./steps.ts";

export const runRows = {
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
			"Put the test plug in place of the button's second pole, so that the computer sees nothing " +
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
			"Test plug in place of the return switch's second pole. Order an attended polish of 5 L; " +
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
			"Take the return's hose off its head, which stays locked on the filler, and tie it into a " +
			"marked can in the tray. Attended polishes, at least three fills of one size. After each " +
			"type the can's litres, how well you can read it (its standard uncertainty) and the seconds.",
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
		how:
			"Attended polish of 20 L. Let it pump for half a minute, by which the controller knows " +
			"what is sudden; then shut the suction valve within some seconds.",
		cautions: "Open it again as soon as the pump stops.",
		parts: ["gauge"],
		everyDays: 365,
		hazards: ["suction-blocked"],
	}),
	"trip-discharge": trip("discharge-blocked", {
		needs: ["pressure-switch"],
		title: "Trip: the return shut",
		how: "Attended polish of 20 L. Close the return's valve slowly.",
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
