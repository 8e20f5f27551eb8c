// What a person holds, lifts, plugs in or shuts at the rig while proving it: where the water probe
// is, the tray's sensor, fittings lifted by a finger's width, test plugs, valves, a measuring can.
// The rig reckons with it as it stands. Imports nothing.

export type ProbePlace = "bowl" | "air" | "fuel" | "condensate" | "salt";

/** A fitting lifted by a finger's width opens its switch; its end stays in the filler, m. */
export const FINGER_M = 0.015;

/** Between the probe's two pins, 1/cm: pins of a few millimetres, a centimetre apart (invented). */
const CELL_PER_CM = 1;
/**
 * Conductivities, S/cm: distilled water with a pinch of tap water, sea water at 15 °C, and diesel
 * of 100 pS/m (all three from memory, as orders of magnitude).
 */
const SIEMENS_PER_CM = { fuel: 1e-12, condensate: 10e-6, salt: 50e-3 } as const;

/** Between the pins of a clean probe out of its bowl, Ω: cell constant over conductivity. */
export function probeOutOhm(place: Exclude<ProbePlace, "bowl">): number {
	return place === "air" ? Number.POSITIVE_INFINITY : CELL_PER_CM / SIEMENS_PER_CM[place];
}

export class AtHand {
	probeIn: ProbePlace = "bowl";
	/** The tray's sensor stands in a cup of diesel. */
	trayInCup = false;
	returnLifted = false;
	tubeLifted = false;
	/** A test plug stands in for the second pole, the one that the computer reads. */
	stopPlug = false;
	returnPlug = false;
	/** What the suction valve before the bowl takes, Pa s/m³; 0 while it is open. */
	suctionPaPerM3s = 0;
	/** The bowl's vent, opened with the pump off and the suction valve shut. */
	ventOpen = false;
	returnShut = false;
	/** The return's hose is off its head, which stays locked, and ends in a measuring can. */
	intoCan = false;
	/** Both temperature sensors lie together, in the fuel's temperature. */
	sensorsTogether = false;
}
