// How much is to be pumped until so much of the suspended dirt is left, by estimate: a tank that is
// stirred while it is filtered is diluted, and keeps exp(-eta m n) of it after n turnovers, with
// the element's efficiency eta and the mixing factor m (the share of a turnover that really mixes;
// Levenspiel, Chemical Reaction Engineering, mixed vessel; m is common practice, no source). No
// sensor sees cleanliness: only a sample or a count says clean. Pure.

import type { Rig } from "../config/rig.ts";

export interface DilutionGoal {
	/** Share of the dirt that shall be left. */
	readonly target: number;
	/** Estimated litres, and what they would be with the best and the worst mixing. */
	readonly litres: number;
	readonly litresLow: number;
	readonly litresHigh: number;
}

/** Mixing at its worst and at its best (common practice, no source). */
const MIXING = { worst: 0.3, best: 1 };

/** @param turnoverLitres the fuel in the tank, L */
export function dilutionGoal(target: number, turnoverLitres: number, rig: Rig): DilutionGoal {
	const { dirtEfficiency } = rig.element;
	const at = (mixing: number) => (-Math.log(target) * turnoverLitres) / (dirtEfficiency * mixing);
	const litres = at(rig.sizing.mixingFactor);
	return { target, litres, litresLow: at(MIXING.best), litresHigh: at(MIXING.worst) };
}
