// What a person does at the rig while proving it, an act a word: for the crew of a scenario and for
// the terminal of an emulated rig. Imports the rig's type and the stores' names.

import type { RigModel } from "./rig.ts";
import { FUEL, moveKg } from "./species.ts";

interface HandAct {
	readonly what: string;
	readonly does: (model: RigModel) => void;
}

/** What the suction valve takes, Pa s/m³: 24 kPa at 95 L/h, and shut, when it weeps (invented). */
const NEARLY_PA_PER_M3S = 9e8;
const SHUT_PA_PER_M3S = 1e12;
/** Diesel poured into the tray from a measure, L. */
const POURED_LITRES = 0.2;

export const handActs = {
	"probe-air": {
		what: "takes the water probe out of the bowl and holds it in air",
		does: (model) => model.puts({ probeIn: "air" }),
	},
	"probe-fuel": {
		what: "dips the wiped probe into clean diesel",
		does: (model) => model.puts({ probeIn: "fuel" }),
	},
	"probe-condensate": {
		what: "dips it into condensate, 10 µS/cm",
		does: (model) => model.puts({ probeIn: "condensate" }),
	},
	"probe-salt": {
		what: "dips it into salt water, 50 mS/cm",
		does: (model) => model.puts({ probeIn: "salt" }),
	},
	"probe-back": {
		what: "screws it into the bowl again",
		does: (model) => model.puts({ probeIn: "bowl" }),
	},
	"tray-dip": {
		what: "puts the tray's sensor into a cup of diesel",
		does: (model) => model.puts({ trayInCup: true }),
	},
	"tray-wipe": {
		what: "takes it out, wipes it and puts it back",
		does: (model) => model.puts({ trayInCup: false }),
	},
	"tray-pour": {
		what: "pours 0.2 L of diesel into the tray",
		does: pourIntoTray,
	},
	"lift-return": {
		what: "unlocks the return and lifts it a finger's width: its end stays in the filler",
		does: (model) => model.puts({ returnLifted: true }),
	},
	"lift-tube": {
		what: "lifts the tube's head a finger's width: its foot stays in the fuel",
		does: (model) => model.puts({ tubeLifted: true }),
	},
	"lift-foot": {
		what: "draws the tube's foot out of the fuel, its head still seated",
		does: (model) => model.breaks("tube-lifted"),
	},
	"plug-stop": {
		what: "puts a test plug in place of the stop button's second pole",
		does: (model) => model.puts({ stopPlug: true }),
	},
	"unplug-stop": {
		what: "takes it out again",
		does: (model) => model.puts({ stopPlug: false }),
	},
	"plug-return": {
		what: "puts a test plug in place of the return switch's second pole",
		does: (model) => model.puts({ returnPlug: true }),
	},
	"unplug-return": {
		what: "takes it out again",
		does: (model) => model.puts({ returnPlug: false }),
	},
	"valve-nearly": {
		what: "turns the suction valve most of the way shut: fuel still comes, against more vacuum",
		does: (model) => model.puts({ suctionPaPerM3s: NEARLY_PA_PER_M3S }),
	},
	"valve-shut": {
		what: "shuts the suction valve",
		does: (model) => model.puts({ suctionPaPerM3s: SHUT_PA_PER_M3S }),
	},
	"valve-open": { what: "opens it", does: (model) => model.puts({ suctionPaPerM3s: 0 }) },
	"vent-open": {
		what: "opens the bowl's vent, pump off and suction valve shut",
		does: (model) => model.puts({ ventOpen: true }),
	},
	"vent-shut": { what: "shuts it", does: (model) => model.puts({ ventOpen: false }) },
	"return-shut": {
		what: "shuts the return's valve",
		does: (model) => model.puts({ returnShut: true }),
	},
	"return-open": { what: "opens it", does: (model) => model.puts({ returnShut: false }) },
	"usb-out": {
		what: "pulls the board's USB plug",
		does: (model) => model.breaks("usb-unplugged"),
	},
	"usb-in": { what: "puts it back", does: (model) => model.mends("usb-unplugged") },
	"can-under": {
		what: "takes the return's hose off its head and leads it into an empty measuring can",
		does: (model) => model.puts({ intoCan: true }),
	},
	"can-back": {
		what: "puts the hose back onto its head and pours the can back into that tank",
		does: (model) => {
			pourBack(model);
			model.puts({ intoCan: false });
		},
	},
	"sensors-together": {
		what: "lays both temperature sensors beside a thermometer, in the fuel's temperature",
		does: (model) => model.puts({ sensorsTogether: true }),
	},
	"sensors-back": {
		what: "puts both back into their places",
		does: (model) => model.puts({ sensorsTogether: false }),
	},
} as const satisfies Record<string, HandAct>;

/** From the can of clean fuel. */
function pourIntoTray({ path, fuel }: RigModel): void {
	moveKg(path.can, path.spill, FUEL, (POURED_LITRES * 1e-3) / (fuel.m3PerKg[FUEL] as number));
	path.trayLitres += POURED_LITRES;
}

function pourBack({ path }: RigModel): void {
	path.measuredLitres = 0;
	path.returnTank?.receive(path.measured);
}

export type HandActName = keyof typeof handActs;

export const isHandAct = (name: string): name is HandActName => Object.hasOwn(handActs, name);
