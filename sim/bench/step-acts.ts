// What somebody does at the rig in each step of commissioning: before it begins, once the pump
// moves fuel, and afterwards, so that the rig is left as it was. Data alone.

import type { Step } from "../../firmware/commission/step-ways.ts";
import type { TripCode } from "../../firmware/cycle/trips.ts";
import type { CrewAction } from "./crew-schema.ts";

interface StepActs {
	readonly before?: readonly CrewAction[];
	/** Ordered, L: no more than it takes. */
	readonly litres?: number;
	/** Once it pumps, some seconds into it. */
	readonly pumping?: CrewAction;
	/** So far into it, ms; left out: a moment. */
	readonly intoMs?: number;
	/** When that has stopped the pump, or nothing has. */
	readonly after?: readonly CrewAction[];
	/** What it causes on purpose: its cause is gone afterwards. */
	readonly causes?: TripCode;
}

/** Little each, as the steps take no longer than they must. */
export const stepActs: Readonly<Partial<Record<Step, StepActs>>> = {
	probe: { causes: "water-in-bowl" },
	"vacuum-zero": { before: ["vent-open"], after: ["vent-shut"] },
	"bowl-zero": { before: ["vent-open"], after: ["vent-shut"] },
	thermometers: { before: ["sensors-together"], after: ["sensors-back"] },
	prime: { litres: 0.4 },
	amps: { litres: 0.4 },
	"dead-man": { litres: 5 },
	"stop-cuts": {
		before: ["plug-stop"],
		litres: 5,
		pumping: "press-stop",
		after: ["release-stop", "unplug-stop"],
	},
	"return-cuts": {
		before: ["plug-return"],
		litres: 5,
		pumping: "lift-return",
		after: ["seat-return", "unplug-return"],
	},
	meter: { before: ["can-under"], litres: 0.5, after: ["can-back"] },
	element: { litres: 1.8 },
	siphon: { litres: 0.2 },
	"trip-water": { litres: 20, pumping: "wet-probe" },
	"trip-dry": { litres: 20, pumping: "lift-foot", after: ["lower-tube"] },
	"trip-leak": { litres: 20, pumping: "tray-pour", after: ["dry-tray"] },
	"trip-return": { litres: 20, pumping: "lift-return", after: ["seat-return"] },
	"trip-tube": { litres: 20, pumping: "lift-tube", after: ["seat-tube"] },
	"trip-suction": {
		litres: 20,
		pumping: "valve-shut",
		// What is sudden is known by the half minute before it.
		intoMs: 24_000,
		after: ["valve-open"],
		causes: "suction-blocked",
	},
	"trip-discharge": { litres: 20, pumping: "return-shut", after: ["return-open"] },
	"trip-stop": { litres: 20, pumping: "press-stop", after: ["release-stop"] },
	"trip-board": { litres: 20, pumping: "usb-out", after: ["usb-in"] },
};

/** What brings a sensor into the state that a look is to show, by the look's name. */
export const lookActs: Readonly<Partial<Record<Step, Readonly<Record<string, CrewAction>>>>> = {
	"stop-loop": { madeOhm: "release-stop", brokenOhm: "press-stop", againOhm: "release-stop" },
	"return-loop": { madeOhm: "seat-return", brokenOhm: "lift-return", againOhm: "seat-return" },
	"tube-loop": { madeOhm: "seat-tube", brokenOhm: "lift-tube", againOhm: "seat-tube" },
	tray: { madeOhm: "tray-wipe", brokenOhm: "tray-dip", againOhm: "tray-wipe" },
	probe: {
		airKohm: "probe-air",
		fuelKohm: "probe-fuel",
		condensateKohm: "probe-condensate",
		saltKohm: "probe-salt",
		wipedKohm: "probe-fuel",
	},
};

/** What leaves the sensor where it belongs when the looks are over. */
export const lookedAt: Readonly<Partial<Record<Step, CrewAction>>> = {
	"stop-loop": "release-stop",
	"return-loop": "seat-return",
	"tube-loop": "seat-tube",
	tray: "tray-wipe",
	probe: "probe-back",
};
