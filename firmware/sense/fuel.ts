// The rig's fuel by temperature: how thick, how heavy, and where it clouds. Imports types only.
// Viscosity: ASTM D341-20, simple form, log log over log of the absolute temperature; density:
// table 54B of API MPMS 11.1 (1980), to the first order. Grades: the middle of EN 590's limits and
// of ASTM D975's table 1; what those leave open is common practice, no source.

import type { Rig } from "../config/rig.ts";

export interface Fuel {
	readonly density15KgM3: number;
	readonly viscosity40Mm2s: number;
	/** Stated; the true one lies within 4 K of it (common practice, no source). */
	readonly cloudPointC: number;
}

/** The temperature at which a rig's figures are taken to hold, °C (common practice, no source). */
export const RATED_C = 15;

/** Weight of 1 m of diesel, kPa: 835 kg/m³ x 9.81 m/s². */
export const KPA_PER_METRE = 8.2;

const KELVIN = 273.15;
/** Slope of D341's line; that of diesel is 3.5 to 4 (common practice, no source). */
const STEEPNESS = 3.9594;
const LOG_40C = Math.log10(40 + KELVIN);

/** A mid-range winter fuel where the file names none (common practice, no source). */
const USUAL: Fuel = { density15KgM3: 835, viscosity40Mm2s: 2.7, cloudPointC: -6 };

const fuel = (density15KgM3: number, viscosity40Mm2s: number, cloudPointC: number): Fuel => ({
	density15KgM3,
	viscosity40Mm2s,
	cloudPointC,
});

const grades: Readonly<Record<NonNullable<Rig["fuel"]["grade"]>, Fuel>> = {
	"en590-a": fuel(832.5, 3.25, 5),
	"en590-b": fuel(832.5, 3.25, 5),
	"en590-c": fuel(832.5, 3.25, 5),
	"en590-d": fuel(832.5, 3.25, 0),
	"en590-e": fuel(832.5, 3.25, -5),
	"en590-f": fuel(832.5, 3.25, -10),
	"en590-0": fuel(822.5, 2.75, -10),
	"en590-1": fuel(822.5, 2.75, -16),
	"en590-2": fuel(820, 2.75, -22),
	"en590-3": fuel(820, 2.7, -28),
	"en590-4": fuel(820, 2.6, -34),
	"d975-1d": fuel(810, 1.85, -40),
	"d975-2d": fuel(845, 3, -10),
};

export function fuelOf({ fuel: file }: Pick<Rig, "fuel">): Fuel {
	if (file.grade !== undefined) return grades[file.grade];
	return {
		density15KgM3: file.density15KgM3 ?? USUAL.density15KgM3,
		viscosity40Mm2s: file.viscosity40Mm2s ?? USUAL.viscosity40Mm2s,
		cloudPointC: file.cloudPointC ?? USUAL.cloudPointC,
	};
}

/** Kinematic, mm²/s. Below the cloud point fuel holds wax and is thicker than this. */
export function viscosityMm2s({ viscosity40Mm2s }: Fuel, celsius: number): number {
	const at40 = Math.log10(Math.log10(viscosity40Mm2s + 0.7));
	const y = at40 + STEEPNESS * (LOG_40C - Math.log10(celsius + KELVIN));
	return 10 ** (10 ** y) - 0.7;
}

/** At a temperature from -10 to 50 °C: the exponential of the table to its first order, kg/m³. */
export function densityKgM3({ density15KgM3: rho }: Fuel, celsius: number): number {
	const perK = rho >= 838.5 ? (186.9696 + 0.4862 * rho) / (rho * rho) : 594.5418 / (rho * rho);
	return rho * (1 - perK * (celsius - 15));
}

/** Dynamic, Pa s. */
export const dynamicPas = (of: Fuel, celsius: number): number =>
	densityKgM3(of, celsius) * viscosityMm2s(of, celsius) * 1e-6;
