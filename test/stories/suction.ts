// Formulas that tests of the suction side hold the firmware's against, written down once more and
// apart from it. Imports nothing.

/** Hagen and Poiseuille: 128 mu L Q / (pi d⁴), Pa. */
export const laminarDropPa = (lengthM: number, boreM: number, flowM3s: number, pas: number) =>
	(128 * pas * lengthM * flowM3s) / (Math.PI * boreM ** 4);
