// What a high vacuum means, in words: thick fuel, tube or element, and which of wax and dirt plugs
// the element. "Tube or element" is said only where nothing tells. Pure.

import type { Rig } from "../config/rig.ts";
import type { Sensed } from "./sensed.ts";
import { pluggingOf } from "./wax-or-dirt.ts";

/** A clean element in this fuel would take so much of the vacuum already: it is the cold. */
const THICK_SHARE = 0.85;
/** What came at once is more than this share of what is over clean: no growth explains it. */
const SUDDEN_SHARE = 0.5;

const PLUGGING_WORDS = {
	dirt: "the element, dirt: change the element",
	wax: "the element, wax: warm the fuel, do not change the element",
	undecided: "the element, wax or dirt: warm the fuel first, change the element if it stays",
} as const;

export type Side = "tube" | "element" | "either";

/** Which side of the bowl takes the vacuum. */
export function sideOf(sensed: Sensed, { element }: Rig): Side {
	const { vacuumKpa, bowlTapKpa, pipeKpa, perReferred, restriction } = sensed;
	if (typeof bowlTapKpa === "number") {
		if (typeof vacuumKpa !== "number") return "either";
		// Over what a clean tube and a clean element would take.
		const tubeKpa = bowlTapKpa - (pipeKpa ?? 0);
		const elementKpa = vacuumKpa - bowlTapKpa - element.cleanKpa * (perReferred ?? 1);
		return elementKpa > tubeKpa ? "element" : "tube";
	}
	if (restriction === null) return "either";
	const overKpa = restriction.kpa - element.cleanKpa;
	const isOdd = restriction.odd > 0;
	return isOdd || restriction.steppedKpa > SUDDEN_SHARE * overKpa ? "either" : "element";
}

/** Which side a sudden rise is on: one gauge alone cannot tell, a tap before the element can. */
export function suddenSide({ vacuumKpa, bowlTapKpa }: Sensed, { element }: Rig) {
	if (typeof bowlTapKpa !== "number") return "tube or element";
	const elementKpa = typeof vacuumKpa === "number" ? vacuumKpa - bowlTapKpa : 0;
	return elementKpa > element.changeAtKpa ? "the element" : "the tube";
}

/** What to say and to do about a vacuum that has grown past its limit. */
export function restrictionWords(sensed: Sensed, rig: Rig): string {
	const side = sideOf(sensed, rig);
	if (side === "tube") return "the tube: lift and clear it, leave the element";
	if (side === "either") return "tube or element";
	const { pipeKpa, perReferred, pumpingVacuumKpa } = sensed;
	if (pipeKpa !== null && perReferred !== null && pumpingVacuumKpa !== null) {
		const cleanKpa = pipeKpa + rig.element.cleanKpa * perReferred;
		if (cleanKpa > THICK_SHARE * pumpingVacuumKpa) {
			return "thick fuel: warm it, do not change the element";
		}
	}
	return PLUGGING_WORDS[pluggingOf(rig, sensed.plugging)];
}
