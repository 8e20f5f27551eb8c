// What standards ask of diesel. Imports nothing. EN 590 tables 2 and 3 and ASTM D975 table 1, as
// secondary copies give them; what is from memory says so beside it.

/** EN 590, temperate climates: highest cold filter plugging point of each class, °C (table 2). */
export const EN590_TEMPERATE_CFPP_MAX_C = { A: 5, B: 0, C: -5, D: -10, E: -15, F: -20 } as const;

/** EN 590, temperate climates: the same for every class (table 1, from memory). */
export const EN590_TEMPERATE = {
	density15KgM3: { min: 820, max: 845 },
	viscosityAt40Mm2s: { min: 2, max: 4.5 },
} as const;

export interface ArcticClass {
	readonly cfppMaxC: number;
	readonly cloudPointMaxC: number;
	readonly density15KgM3: { readonly min: number; readonly max: number };
	readonly viscosityAt40Mm2s: { readonly min: number; readonly max: number };
	readonly cetaneNumberMin: number;
}

/** EN 590, arctic and severe winter climates, classes 0 to 4 (table 3). */
export const EN590_ARCTIC: readonly ArcticClass[] = [
	arctic(-20, -10, 845, 1.5, 49),
	arctic(-26, -16, 845, 1.5, 49),
	arctic(-32, -22, 840, 1.5, 48),
	arctic(-38, -28, 840, 1.4, 47),
	arctic(-44, -34, 840, 1.2, 47),
];

function arctic(
	cfppMaxC: number,
	cloudPointMaxC: number,
	densityMax: number,
	viscosityMin: number,
	cetaneNumberMin: number,
): ArcticClass {
	return {
		cfppMaxC,
		cloudPointMaxC,
		density15KgM3: { min: 800, max: densityMax },
		viscosityAt40Mm2s: { min: viscosityMin, max: 4 },
		cetaneNumberMin,
	};
}

/** ASTM D975, table 1. It limits neither density nor total contamination. */
export const ASTM_D975 = {
	"1-D S15": {
		flashPointMinC: 38,
		viscosityAt40Mm2s: { min: 1.3, max: 2.4 },
		waterAndSedimentMaxVolPct: 0.05,
		sulfurMaxMgKg: 15,
		ashMaxMassPct: 0.01,
		cetaneNumberMin: 40,
		/** From memory. */
		biodieselMaxVolPct: 5,
	},
	"2-D S15": {
		flashPointMinC: 52,
		viscosityAt40Mm2s: { min: 1.9, max: 4.1 },
		waterAndSedimentMaxVolPct: 0.05,
		sulfurMaxMgKg: 15,
		ashMaxMassPct: 0.01,
		cetaneNumberMin: 40,
		/** From memory. */
		biodieselMaxVolPct: 5,
	},
} as const;
