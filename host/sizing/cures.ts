// What would cure a suction side that asks too much: hoses of standard bore, a shorter tube with
// the pump lower, an element changed sooner. Each is worked out anew and named only if it cures.
// Standard bores 8, 10, 12, 16 mm: common practice, no source.

import type { Rig } from "../../firmware/config/rig.ts";
import { pumpHeightM } from "../../sim/rig-parts.ts";
import { AS_STATED } from "./draws.ts";
import { rigInSi } from "./rig-in-si.ts";
import { TankCase, type Worked } from "./work-out.ts";

const BORES_MM = [8, 10, 12, 16] as const;
const TUBE_STEP_MM = 50;
const CHANGE_STEP_KPA = 1;

export interface Trouble {
	readonly rig: Rig;
	readonly tank: Rig["tanks"][number];
	readonly celsius: number;
	readonly cured: (worked: Worked) => boolean;
	/** Whether changing the element sooner may be the cure. */
	readonly atChangeOut: boolean;
}

/** Each cure in words, the least change of its kind; at the end an all-out one if none is. */
export function curesOf(trouble: Trouble): string[] {
	const { rig, atChangeOut } = trouble;
	const cures = (candidate: Rig) => isCured(trouble, candidate);
	const found: string[] = [];
	const hose = widerBores(rig.hose.boreMm).find((mm) => cures(withHose(rig, mm)));
	if (hose !== undefined) found.push(`use ${hose} mm hose`);
	const narrowest = Math.min(rig.hose.boreMm, rig.tube.boreMm);
	const both = widerBores(narrowest).find((mm) => cures(withHose(withTube(rig, mm), mm)));
	if (hose === undefined && both !== undefined) found.push(`use ${both} mm hose and tube`);
	const lengths = shorterTubes(trouble);
	const tubeMm = lengths.find((mm) => cures(withTubeLength(rig, mm)));
	if (tubeMm !== undefined) found.push(shorterWords(rig, tubeMm));
	if (atChangeOut) {
		const kpa = sooner(rig).find((at) => cures(withChangeAt(rig, at)));
		if (kpa !== undefined) found.push(`change the element at ${kpa} kPa already`);
	}
	if (found.length > 0) return found;
	const widest = BORES_MM[BORES_MM.length - 1] ?? narrowest;
	const shortest = lengths.at(-1);
	if (widest <= narrowest || shortest === undefined) return [];
	const wide = withHose(withTube(rig, widest), widest);
	return cures(withTubeLength(wide, shortest))
		? [`only together: use ${widest} mm hose and tube, and ${shorterWords(rig, shortest)}`]
		: [];
}

function isCured({ tank, celsius, cured }: Trouble, rig: Rig): boolean {
	return cured(new TankCase(rigInSi(rig), tank, celsius).workOut(AS_STATED));
}

const widerBores = (boreMm: number): number[] => BORES_MM.filter((mm) => mm > boreMm);

const withHose = (rig: Rig, boreMm: number): Rig => ({
	...rig,
	hose: { ...rig.hose, boreMm: Math.max(boreMm, rig.hose.boreMm) },
});

const withTube = (rig: Rig, boreMm: number): Rig => ({
	...rig,
	tube: { ...rig.tube, boreMm: Math.max(boreMm, rig.tube.boreMm) },
});

const withChangeAt = (rig: Rig, changeAtKpa: number): Rig => ({
	...rig,
	element: { ...rig.element, changeAtKpa },
});

/** The pump comes down with the tube's top: at the same height a shorter tube lifts no less. */
function withTubeLength(rig: Rig, lengthMm: number): Rig {
	const lower = rig.tube.lengthMm - lengthMm;
	const heightMm = Math.max(0, pumpHeightM(rig) * 1e3 - lower);
	return { ...rig, tube: { ...rig.tube, lengthMm }, pump: { ...rig.pump, heightMm } };
}

/** Down to a tube that just reaches from the deepest tank's top to its floor: one serves all. */
function shorterTubes({ rig }: Trouble): number[] {
	const deepest = Math.max(...rig.tanks.map(({ depthMm }) => depthMm));
	const least = deepest - rig.tube.clearanceMm;
	const lengths: number[] = [];
	for (let mm = rig.tube.lengthMm - TUBE_STEP_MM; mm >= least; mm -= TUBE_STEP_MM) {
		lengths.push(mm);
	}
	return lengths;
}

function shorterWords(rig: Rig, lengthMm: number): string {
	const lower = rig.tube.lengthMm - lengthMm;
	return `shorten the tube to ${lengthMm} mm with the pump ${lower} mm lower`;
}

function sooner({ element }: Rig): number[] {
	const from = Math.ceil(element.changeAtKpa) - CHANGE_STEP_KPA;
	const count = Math.max(0, Math.floor(from - element.cleanKpa));
	return Array.from({ length: count }, (_, i) => from - i * CHANGE_STEP_KPA);
}
