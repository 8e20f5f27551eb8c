// The fuel as the rig model needs it each step: density, viscosity, volumes per kg and settling
// speeds at the present temperature. Worked out anew only when the temperature has moved.

import { type Diesel, liquidAt, waterSolubilityMgKg } from "./physics/diesel.ts";
import { NOUGHT } from "./physics/fraction.ts";
import type { Liquid } from "./physics/pipe.ts";
import { stokesMps, terminalMps } from "./physics/settling.ts";
import {
	COARSE,
	COARSE_MICRON,
	DIRT,
	DIRT_DENSITY_KG_M3,
	DIRT_MICRON,
	DISSOLVED,
	FINE,
	FINE_MICRON,
	FREE,
	FUEL,
	SPECIES,
	WATER_DENSITY_KG_M3,
} from "./species.ts";

/** Properties are kept until the temperature has moved so far, K: 0.05 % of viscosity. */
const STEP_K = 0.02;

export class Fuel {
	readonly diesel: Diesel;
	celsius = NOUGHT;
	densityKgM3 = NOUGHT;
	dynamicPas = NOUGHT;
	/** Dissolved water at saturation, kg per kg of fuel. */
	solubility = NOUGHT;
	readonly m3PerKg = new Float64Array(SPECIES);
	/** Settling speed of each species, m/s; 0 for what does not settle. */
	readonly settlingMps = new Float64Array(SPECIES);
	private readonly famePct: number;
	private knownC = Number.NaN;

	constructor(diesel: Diesel, famePct: number, celsius: number) {
		this.diesel = diesel;
		this.famePct = famePct;
		this.celsius = celsius;
		this.m3PerKg.fill(1 / WATER_DENSITY_KG_M3, FREE, DISSOLVED + 1);
		this.m3PerKg.fill(1 / DIRT_DENSITY_KG_M3, DIRT);
		this.refresh();
	}

	get liquid(): Liquid {
		return { densityKgM3: this.densityKgM3, dynamicPas: this.dynamicPas };
	}

	/** True when the properties are new. */
	refresh(): boolean {
		if (Math.abs(this.celsius - this.knownC) < STEP_K) return false;
		this.knownC = this.celsius;
		const liquid = liquidAt(this.diesel, this.celsius);
		this.densityKgM3 = liquid.densityKgM3;
		this.dynamicPas = liquid.dynamicPas;
		this.solubility = waterSolubilityMgKg(this.celsius, this.famePct / 100) / 1e6;
		this.m3PerKg[FUEL] = 1 / liquid.densityKgM3;
		const drop = (micron: number) => terminalMps(micron * 1e-6, WATER_DENSITY_KG_M3, liquid);
		this.settlingMps[COARSE] = drop(COARSE_MICRON);
		this.settlingMps[FINE] = drop(FINE_MICRON);
		DIRT_MICRON.forEach((micron, i) => {
			this.settlingMps[DIRT + i] = stokesMps(micron * 1e-6, DIRT_DENSITY_KG_M3, liquid);
		});
		return true;
	}
}
