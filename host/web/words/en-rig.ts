// Words of the rig and its controller, for whichever page speaks of them: states, work, trips,
// hazards, sensors, what is unknown. English. Trips, holds and hazards are worded in the firmware's
// own tables, which accounts and documents use too; here they are turned into what a page shows.

import { coverageRows } from "../../../firmware/cycle/coverage.ts";
import { holdRows } from "../../../firmware/cycle/holds.ts";
import { type TripCode, trips } from "../../../firmware/cycle/trips.ts";
import { sentence } from "./sentence.ts";

interface TripWords {
	readonly name: string;
	readonly cause: string;
	/** One thing to do after the other. */
	readonly steps: readonly string[];
}

const tripNames: Readonly<Record<TripCode, string>> = {
	"relay-stuck": "A contact is stuck closed",
	"beat-forged": "The dead-man is blind",
	leak: "Fuel in the tray",
	"return-out": "The return is out of its filler",
	"wrong-tank": "Tube and return are in two tanks",
	"volume-imbalance": "Litres do not add up",
	"destination-full": "The tank is full",
	"flow-when-stopped": "Fuel flows with the pump off",
	"stop-button": "The stop button was pressed",
	"water-in-bowl": "Water in the bowl",
	overcurrent: "The motor draws far too much",
	"motor-hot": "The motor is too hot",
	"discharge-blocked": "The return is blocked",
	"tank-vent-blocked": "The tank's vent is blocked",
	"tube-out": "The tube is off its filler",
	"board-lost": "The board does not answer",
	"supply-high": "The supply's voltage is too high",
	"supply-low": "The supply's voltage is too low",
	"no-current": "The motor draws no current",
	"sensor-fault": "A sensor says nothing sensible",
	"too-cold": "The fuel stayed too cold",
	interrupted: "The controller ended in mid-run",
	"log-failed": "The log cannot be written",
	"suction-blocked": "The suction is blocked",
	"restriction-high": "The vacuum is past its limit",
	"dry-run": "No fuel while the pump ran",
	"source-low": "The tank is nearly empty",
	"prime-failed": "Fuel did not arrive",
	"time-limit": "The order took too long",
};

const tripWords = (code: TripCode): TripWords => ({
	name: tripNames[code],
	cause: sentence(trips[code].cause),
	steps: trips[code].toDo.split("; ").map(sentence),
});

/** The same keys, each with what is made of its row. */
function worded<K extends string, T, W>(
	rows: Readonly<Record<K, T>>,
	make: (row: T, key: K) => W,
): Readonly<Record<K, W>> {
	const keys = Object.keys(rows) as K[];
	return Object.fromEntries(keys.map((key) => [key, make(rows[key], key)])) as Record<K, W>;
}

const otherTrip: TripWords = {
	name: "A trip that this page does not know",
	cause: "This page is older than the controller.",
	steps: ["Read what the controller itself says, and the rig's own guide."],
};

/** By name, as the controller gives it. */
const states: Readonly<Record<string, string>> = {
	idle: "Idle",
	priming: "Priming",
	polishing: "Pumping",
	resting: "Resting",
	standing: "Standing",
	held: "Held",
	tripped: "Tripped",
	commissioning: "Commissioning",
};

/** What goes on in it. */
const stateNotes: Readonly<Record<string, string>> = {
	idle: "The pump is off and waits for an order.",
	priming: "Horn, proof of both contacts, then the pump draws until fuel comes.",
	polishing: "Fuel goes through bowl and element.",
	resting: "The pump cools, or its rating asks for it. It starts again by itself.",
	standing: "The bowl settles between two bursts. It starts again by itself.",
	held: "The order waits for something that ends by itself. Then it starts again by itself.",
	tripped: "The pump stays off until somebody has seen to it.",
	commissioning: "The rig's stops are being proven at the box. No order is taken meanwhile.",
};

const work: Readonly<Record<string, string>> = {
	polish: "Polish",
	transfer: "Transfer",
	sweep: "Sweep",
};

const working: Readonly<Record<string, string>> = {
	polish: "Polishing",
	transfer: "Transferring",
	sweep: "Sweeping",
};

const sensors: Readonly<Record<string, string>> = {
	vacuum: "vacuum gauge",
	tray: "tray sensor",
	"return-seat": "switch at the return's filler",
	"tube-seat": "switch at the tube's filler",
	"pressure-switch": "pressure switch after the pump",
	"level-from": "level under the tube",
	"level-to": "level under the return",
	"fuel-temperature": "fuel temperature",
	"case-temperature": "temperature of the motor's case",
	"bowl-tap": "tap between bowl and element",
};

/** Why there is no value. */
const unknowns: Readonly<Record<string, string>> = {
	"not-fitted": "not fitted",
	stale: "old",
	open: "wire cut",
	short: "wire shorted",
	"out-of-range": "out of range",
	unlike: "two readings disagree",
	jumps: "jumps",
};

export const rig = {
	states,
	stateNotes,
	otherState: "A state that this page does not know",
	work,
	working,
	trips: worded(trips, (_, code) => tripWords(code)) as Readonly<Record<string, TripWords>>,
	otherTrip,
	holds: worded(holdRows, (row) => sentence(row.words)) as Readonly<Record<string, string>>,
	hazards: worded(coverageRows, (row) => sentence(row.words)) as Readonly<Record<string, string>>,
	sensors,
	unknowns,
	noWord: "unknown",
};
