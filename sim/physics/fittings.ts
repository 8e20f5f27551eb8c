// Local loss coefficients K of what a suction line is made of, in heads of the speed in the pipe.
// Imports pipe.ts. Formulas as published in Rennels and Hudson, Pipe Flow (2012); Swamee and
// Sharma, Design of Water Supply Pipe Networks (2008); Ito, J. Basic Eng. 82 (1960) 131-140 in the
// form of Blevins, Applied Fluid Dynamics Handbook (1984); Crane TP-410. Digitised graphs are left
// out.

import { colebrook } from "./pipe.ts";

/** Flush sharp-edged entrance: the classic value (Crane, Idelchik, Blevins, Swamee and Sharma). */
export const ENTRANCE_SHARP_K = 0.5;

/** The same after Rennels and Hudson, who read the measurements anew. */
export const ENTRANCE_SHARP_RENNELS_K = 0.57;

/** Thin-walled pipe that projects into the tank, as a dip tube does (Crane TP-410, A-30). */
export const ENTRANCE_PROJECTING_K = 0.78;

/** Any pipe into still liquid: the whole head of its speed is lost (Borda and Carnot). */
export const EXIT_K = 1;

/**
 * Entrance that projects by half a bore or more, by wall thickness over bore (Rennels and Hudson).
 * A thick wall works like a flush entrance; above 0.05 it stays at that value.
 */
export function entranceProjectingK(wallM: number, boreM: number): number {
	const x = Math.min(0.05, wallM / boreM);
	return 1.12 + x * (-22 + x * (216 + x * 80));
}

/**
 * Smooth bend, its own wall friction included (Rennels and Hudson): friction along the arc, swirl,
 * and separation. The turbulent friction factor is used at every Re, as its authors do. For 0 to
 * 180° and a radius of at least half a bore.
 * @param radiusBores radius of the centre line over bore
 */
export function bendK(
	angleDeg: number,
	radiusBores: number,
	re: number,
	relativeRoughness: number,
): number {
	const angle = (angleDeg * Math.PI) / 180;
	const f = colebrook(re, relativeRoughness);
	const half = Math.sin(angle / 2);
	const swirl = (0.1 + 2.4 * f) * half;
	const separation = (6.6 * f * (Math.sqrt(half) + half)) / radiusBores ** ((4 * angle) / Math.PI);
	return f * angle * radiusBores + swirl + separation;
}

/** Bend by angle and radius alone, for water mains (Swamee and Sharma). */
export function bendSwameeK(angleDeg: number, radiusBores: number): number {
	return (0.0733 + 0.923 * radiusBores ** -3.5) * Math.sqrt((angleDeg * Math.PI) / 180);
}

const DEGREES = [45, 90, 180] as const;

/**
 * Smooth bend after Ito, in Blevins' form. Only where Re (D/R)² is above 360, R being the radius;
 * below that the flow follows the law of a curved laminar pipe and the answer is undefined.
 */
export function bendItoK(angleDeg: number, radiusBores: number, re: number): number | undefined {
	if (re / radiusBores ** 2 <= 360) return undefined;
	const at45 = 1 + 5.13 * radiusBores ** -1.47;
	const at90 = radiusBores < 9.85 ? 0.95 + 4.42 * radiusBores ** -1.96 : 1;
	const at180 = 1 + 5.06 * radiusBores ** -4.52;
	const alpha = radiusBores > 50 ? 1 : between(angleDeg, at45, at90, at180);
	return 0.00431 * alpha * angleDeg * re ** -0.17 * radiusBores ** 0.84;
}

/** Between the three angles that Ito measured in a straight line, beyond them the nearest. */
function between(angleDeg: number, at45: number, at90: number, at180: number): number {
	const [low, middle, high] = DEGREES;
	if (angleDeg <= low) return at45;
	if (angleDeg >= high) return at180;
	if (angleDeg <= middle) return at45 + ((at90 - at45) * (angleDeg - low)) / (middle - low);
	return at90 + ((at180 - at90) * (angleDeg - middle)) / (high - middle);
}
