// A diesel fuel: what it weighs, how it flows and how much water it dissolves, by temperature; and
// a mid-range fuel of each standard grade. Imports its neighbours for density, viscosity and
// limits. Water: Fregolente and others, J. Chem. Eng. Data 57 (2012) 1817-1821 (figures of the
// abstract).

import {
	ASTM_D975,
	EN590_ARCTIC,
	EN590_TEMPERATE,
	EN590_TEMPERATE_CFPP_MAX_C,
} from "./fuel-limits.ts";
import type { Liquid } from "./pipe.ts";
import { DIESEL_STEEPNESS, viscosityLineThrough, viscosityMm2s } from "./viscosity.ts";
import { densityKgM3 } from "./volume-correction.ts";

export interface Diesel {
	readonly density15KgM3: number;
	readonly viscosityAt40Mm2s: number;
	/** Steepness of the viscosity's line (ASTM D341); a typical one when left out. */
	readonly slope?: number;
	/** Wax begins to fall out here; density and viscosity are not to be trusted below. */
	readonly cloudPointC: number;
}

/** Density and dynamic viscosity at a temperature above the cloud point. */
export function liquidAt(diesel: Diesel, celsius: number): Liquid {
	const density = densityKgM3(diesel.density15KgM3, celsius);
	const line = viscosityLineThrough(40, diesel.viscosityAt40Mm2s, diesel.slope ?? DIESEL_STEEPNESS);
	return {
		densityKgM3: density,
		dynamicPas: density * viscosityMm2s(line, celsius) * 1e-6,
	};
}

interface Limits {
	readonly density15KgM3: { readonly min: number; readonly max: number };
	readonly viscosityAt40Mm2s: { readonly min: number; readonly max: number };
}

const middle = ({ min, max }: { min: number; max: number }): number => (min + max) / 2;

function midRange(limits: Limits, cloudPointC: number): Diesel {
	return {
		density15KgM3: middle(limits.density15KgM3),
		viscosityAt40Mm2s: middle(limits.viscosityAt40Mm2s),
		cloudPointC,
	};
}

/**
 * EN 590 names no cloud point for temperate classes: taken 10 K above the plugging point, as its
 * arctic table has it, and 5 °C at most, which summer fuel has (common practice, no source).
 */
function temperate(name: keyof typeof EN590_TEMPERATE_CFPP_MAX_C): Diesel {
	return midRange(EN590_TEMPERATE, Math.min(5, EN590_TEMPERATE_CFPP_MAX_C[name] + 10));
}

function arctic(index: number): Diesel {
	const limits = EN590_ARCTIC[index];
	if (limits === undefined) throw new Error(`EN 590 has no arctic class ${index}`);
	return midRange(limits, limits.cloudPointMaxC);
}

/** D975 leaves density and cloud point open: usual ones are given (common practice, no source). */
function d975(name: keyof typeof ASTM_D975, density15KgM3: number, cloudPointC: number): Diesel {
	const viscosityAt40Mm2s = middle(ASTM_D975[name].viscosityAt40Mm2s);
	return { density15KgM3, viscosityAt40Mm2s, cloudPointC };
}

/** A fuel in the middle of each grade's limits. */
export const grades = {
	"en590-a": temperate("A"),
	"en590-b": temperate("B"),
	"en590-c": temperate("C"),
	"en590-d": temperate("D"),
	"en590-e": temperate("E"),
	"en590-f": temperate("F"),
	"en590-0": arctic(0),
	"en590-1": arctic(1),
	"en590-2": arctic(2),
	"en590-3": arctic(3),
	"en590-4": arctic(4),
	"d975-1d": d975("1-D S15", 810, -40),
	"d975-2d": d975("2-D S15", 845, -10),
} as const satisfies Readonly<Record<string, Diesel>>;

/**
 * Dissolved water at two temperatures, mg/kg. FAME: the abstract's 1500 and 1980. Diesel: the
 * abstract says that FAME holds ten to fifteen times as much; hydrocarbons gain more with heat, so
 * the fifteen is taken at the cold end and the ten at the warm one. That reading is our own.
 */
const WATER = { coldC: 10, warmC: 50, fame: [1500, 1980], diesel: [100, 198] } as const;

function saturation([cold, warm]: readonly [number, number], celsius: number): number {
	const share = (celsius - WATER.coldC) / (WATER.warmC - WATER.coldC);
	return cold * (warm / cold) ** share;
}

/**
 * Water that FAME (B100) holds dissolved at saturation, mg/kg: an exponential of the temperature
 * through both values, meant for 0 to 60 °C; right within a third.
 */
export const fameSaturationMgKg = (celsius: number): number => saturation(WATER.fame, celsius);

/** The same of diesel without FAME. */
export const dieselSaturationMgKg = (celsius: number): number => saturation(WATER.diesel, celsius);

/** Saturation of a blend by shares of volume, in a straight line (common practice, no source). */
export function blendedMgKg(dieselMgKg: number, fameMgKg: number, fameShare: number): number {
	return dieselMgKg * (1 - fameShare) + fameMgKg * fameShare;
}

/** Water that fuel with a share of FAME (0 to 1; 0.07 for B7) holds dissolved, mg/kg. */
export function waterSolubilityMgKg(celsius: number, fameShare: number): number {
	return blendedMgKg(dieselSaturationMgKg(celsius), fameSaturationMgKg(celsius), fameShare);
}
