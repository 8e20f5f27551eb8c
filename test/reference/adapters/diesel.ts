// Reference rows of group 3, grades, viscosity and volume correction, by sim/physics/diesel.ts and
// its neighbours.

import {
	ASTM_D975,
	EN590_ARCTIC,
	EN590_TEMPERATE_CFPP_MAX_C,
} from "../../../sim/physics/fuel-limits.ts";
import {
	fromFullZ,
	fullZ,
	type ViscosityLine,
	viscosityLine,
	viscosityMm2s,
} from "../../../sim/physics/viscosity.ts";
import {
	correctionTo60F,
	density60FKgM3,
	densityKgM3,
	expansion54BPerK,
	expansion2004PerF,
	volumeCorrection54B,
	volumeCorrection2004,
} from "../../../sim/physics/volume-correction.ts";
import type { Adapter, Answer, Inputs } from "../adapter.ts";
import { each, needs, quantity } from "../quantity.ts";

const density15 = quantity({ rho15_kg_m3: 1 });
const density60 = quantity({ rho60_kg_m3: 1, rho60F_kg_m3: 1 });
const celsius = quantity({ T_C: 1 });
const fahrenheit = quantity({ T_F: 1 });
const observedL = quantity({ V_obs_L: 1 });
const t1 = quantity({ T1_C: 1 });
const nu1 = quantity({ nu1_mm2_s: 1 });
const t2 = quantity({ T2_C: 1 });
const nu2 = quantity({ nu2_mm2_s: 1 });
const offset = quantity({ K_offset: 1 }, 273.15);
const nu = quantity({ nu_mm2_s: 1 });
const z = quantity({ Z: 1 });

/** A table's entry for each class that the row names, single or in a list. */
function byClass(name: "class" | "grade", find: (key: string) => unknown): Answer {
	return (inputs) => {
		const given = inputs[name];
		const found = (key: unknown) => find(String(key));
		return Array.isArray(given) ? given.map(found) : found(given);
	};
}

const arctic = (pick: (limits: (typeof EN590_ARCTIC)[number]) => unknown): Answer =>
	byClass("class", (key) => {
		const limits = EN590_ARCTIC[Number(key)];
		return limits && pick(limits);
	});

const isTemperate = (key: string): key is keyof typeof EN590_TEMPERATE_CFPP_MAX_C =>
	Object.hasOwn(EN590_TEMPERATE_CFPP_MAX_C, key);

const isD975 = (key: string): key is keyof typeof ASTM_D975 => Object.hasOwn(ASTM_D975, key);

const d975 = (pick: (limits: (typeof ASTM_D975)[keyof typeof ASTM_D975]) => unknown): Answer =>
	byClass("grade", (key) => (isD975(key) ? pick(ASTM_D975[key]) : undefined));

const LINE = [t1, nu1, t2, nu2, offset] as const;

function line(find: (line: ViscosityLine) => number): Answer {
	return each(LINE, (c1 = 0, v1 = 0, c2 = 0, v2 = 0, k = 0) =>
		find(viscosityLine(c1, v1, c2, v2, k)),
	);
}

const onLine = each([...LINE, celsius], (c1 = 0, v1 = 0, c2 = 0, v2 = 0, k = 0, c = 0) =>
	viscosityMm2s(viscosityLine(c1, v1, c2, v2, k), c),
);

/** `nu_80C`: the temperature stands in the field's name. */
function named(inputs: Inputs, degrees: number): unknown {
	return line((of) => viscosityMm2s(of, degrees))(inputs);
}

const by54B = each([density15, celsius], (rho = 0, c = 0) => volumeCorrection54B(rho, c));
const by2004 = each([density15, celsius], (rho = 0, c = 0) => volumeCorrection2004(rho, c));

export const dieselAdapters: readonly Adapter[] = [
	{
		group: 3,
		needs: ["class"],
		topic: /temperate/,
		answers: {
			CFPP_max_C: byClass("class", (key) =>
				isTemperate(key) ? EN590_TEMPERATE_CFPP_MAX_C[key] : undefined,
			),
		},
	},
	{
		group: 3,
		needs: ["class"],
		topic: /arctic/,
		answers: {
			CFPP_max_C: arctic((limits) => limits.cfppMaxC),
			cloud_point_max_C: arctic((limits) => limits.cloudPointMaxC),
			density_15C_kg_m3_min: arctic((limits) => limits.density15KgM3.min),
			density_15C_kg_m3_max: arctic((limits) => limits.density15KgM3.max),
			viscosity_40C_mm2_s_min: arctic((limits) => limits.viscosityAt40Mm2s.min),
			viscosity_40C_mm2_s_max: arctic((limits) => limits.viscosityAt40Mm2s.max),
			cetane_number_min: arctic((limits) => limits.cetaneNumberMin),
		},
	},
	{
		group: 3,
		needs: ["grade"],
		answers: {
			flash_point_C_min: d975((limits) => limits.flashPointMinC),
			viscosity_40C_mm2_s: d975(({ viscosityAt40Mm2s: { min, max } }) => [min, max]),
			water_and_sediment_vol_pct_max: d975((limits) => limits.waterAndSedimentMaxVolPct),
			sulfur_mg_kg_max: d975((limits) => limits.sulfurMaxMgKg),
			ash_mass_pct_max: d975((limits) => limits.ashMaxMassPct),
			cetane_number_min: d975((limits) => limits.cetaneNumberMin),
			biodiesel_vol_pct_max: d975((limits) => limits.biodieselMaxVolPct),
		},
	},
	{
		group: 3,
		needs: needs(...LINE),
		answers: { A: line(({ a }) => a), B: line(({ b }) => b), nu_mm2_s: onLine },
		patterns: [
			{
				field: /^nu_(-?[\d.]+)C(?:_mm2_s)?$/,
				answer: (inputs, [, degrees]) => named(inputs, Number(degrees)),
			},
		],
	},
	{
		group: 3,
		needs: needs(nu),
		answers: {
			Z: each([nu], (value = 0) => fullZ(value)),
			nu_back: each([nu], (value = 0) => fromFullZ(fullZ(value))),
		},
	},
	{ group: 3, needs: needs(z), answers: { nu_mm2_s: each([z], (value = 0) => fromFullZ(value)) } },
	{
		group: 3,
		needs: needs(density15),
		topic: /54B|1980|use of VCF/,
		answers: {
			alpha15_per_C: each([density15], (rho = 0) => expansion54BPerK(rho)),
			VCF: by54B,
			rho_T_kg_m3: each([density15, celsius], (rho = 0, c = 0) => densityKgM3(rho, c)),
		},
	},
	{
		group: 3,
		needs: needs(density15),
		topic: /2004/,
		answers: {
			rho60F_kg_m3: each([density15], (rho = 0) => density60FKgM3(rho)),
			VCF: by2004,
			rho_T_kg_m3: each(
				[density15, celsius],
				(rho = 0, c = 0) => rho * volumeCorrection2004(rho, c),
			),
			difference_from_1980_formula: each(
				[density15, celsius],
				(rho = 0, c = 0) => volumeCorrection2004(rho, c) - volumeCorrection54B(rho, c),
			),
		},
	},
	{
		group: 3,
		needs: needs(density60),
		answers: {
			CTL_unrounded: each([density60, fahrenheit], (rho = 0, f = 0) => correctionTo60F(rho, f)),
			CTL: each([density60, fahrenheit], (rho = 0, f = 0) => correctionTo60F(rho, f)),
			alpha60_per_F: each([density60], (rho = 0) => expansion2004PerF(rho)),
		},
	},
	{
		group: 3,
		needs: needs(observedL, celsius, density15),
		answers: {
			V15_L: each([observedL, celsius, density15], (v = 0, c = 0, rho = 0) => {
				return v * volumeCorrection54B(rho, c);
			}),
			mass_kg: each([observedL, celsius, density15], (v = 0, c = 0, rho = 0) => {
				return (v / 1000) * densityKgM3(rho, c);
			}),
		},
	},
	{
		// A flow goes the way of a volume.
		group: 3,
		needs: ["Q_obs_L_h", ...needs(celsius, density15)],
		answers: {
			Q15_L_h: each([quantity({ Q_obs_L_h: 1 }), celsius, density15], (q = 0, c = 0, rho = 0) => {
				return q * volumeCorrection54B(rho, c);
			}),
		},
	},
];
