// Reference rows of group 4, settling and dissolved water, by sim/physics/settling.ts and
// diesel.ts.

import {
	blendedMgKg,
	dieselSaturationMgKg,
	fameSaturationMgKg,
	waterSolubilityMgKg,
} from "../../../sim/physics/diesel.ts";
import {
	cutDiameterM,
	mobileSurfaceFactor,
	overflowMps,
	particleReynolds,
	SEPARATOR_TESTS,
	settlingTimeS,
	stokesMps,
	terminalMps,
} from "../../../sim/physics/settling.ts";
import type { Adapter, Answer } from "../adapter.ts";
import { each, list, needs, quantity } from "../quantity.ts";

const size = quantity({ d_um: 1e-6, d_mm: 0.001, d_m: 1 });
const heavy = quantity({ rho_water_kg_m3: 1, rho_p_kg_m3: 1, rho_particle_kg_m3: 1 });
const light = quantity({ rho_oil_kg_m3: 1, rho_fuel_kg_m3: 1, rho_kg_m3: 1 });
const viscosity = quantity({ mu_Pa_s: 1, mu_oil_Pa_s: 1 });
const gravity = quantity({ g_m_s2: 1 }, 9.80665);
const flow = quantity({ flow_L_h: 0.001 / 3600, Q_L_h: 0.001 / 3600, Q_m3_s: 1 });
const bowl = quantity({ bowl_diameter_mm: 0.001, bowl_diameter_m: 1 });
const dropViscosity = quantity({ mu_water_Pa_s: 1, mu_drop_Pa_s: 1 });
const temperature = quantity({ T_K: 1 });
const diesel = quantity({ diesel_mg_kg: 1 });
const fame = quantity({ B100_mg_kg: 1 });
const share = quantity({ blend_vol_fraction: 1 });

const DROP = [size, heavy, light, viscosity, gravity] as const;

type Speed = (
	d: number,
	rho: number,
	liquid: { densityKgM3: number; dynamicPas: number },
	g: number,
) => number;

const corrected: Speed = (d, rho, liquid, g) => terminalMps(d, rho, liquid, undefined, g);

/** A drop's speed as a row's entry, or what follows from it. */
function drop(
	speed: Speed,
	then: (mps: number, d: number, rho: number, mu: number) => number,
): Answer {
	return each(DROP, (d = 0, rho = 0, around = 0, mu = 0, g = 0) => {
		const liquid = { densityKgM3: around, dynamicPas: mu };
		return then(speed(d, rho, liquid, g), d, around, mu);
	});
}

const number = (mps: number, d: number, rho: number, mu: number): number =>
	particleReynolds(d, mps, { densityKgM3: rho, dynamicPas: mu });

/** The same for the bowl: its upward speed, and the drop that just sinks against it. */
function bowlCut(then: (up: number, cut: number, rho: number, mu: number) => number): Answer {
	return each(
		[flow, bowl, viscosity, light, heavy, gravity],
		(q = 0, b = 0, mu = 0, rho = 0, w = 0, g = 0) => {
			const up = overflowMps(q, (Math.PI * b * b) / 4);
			const liquid = { densityKgM3: rho, dynamicPas: mu };
			return then(up, cutDiameterM(up, w, liquid, g), rho, mu);
		},
	);
}

const celsius = (kelvin: number): number => kelvin - 273.15;
const ratio = (kelvin: number): number =>
	fameSaturationMgKg(celsius(kelvin)) / dieselSaturationMgKg(celsius(kelvin));

/** Least and greatest over the row's temperatures. */
function band(find: (kelvin: number) => number): Answer {
	return (inputs) => {
		const values = list(inputs, temperature)?.map(find);
		return values === undefined ? undefined : [Math.min(...values), Math.max(...values)];
	};
}

const blend = each([diesel, fame, share], (d = 0, b = 0, part = 0) => blendedMgKg(d, b, part));

export const settlingAdapters: readonly Adapter[] = [
	{
		group: 4,
		needs: needs(...DROP),
		answers: {
			v_stokes_m_s: drop(stokesMps, (mps) => mps),
			v_drag_corrected_m_s: drop(corrected, (mps) => mps),
			Re_p_stokes: drop(stokesMps, number),
			Re_p: drop(corrected, number),
		},
		patterns: [
			{
				field: /^time_through_([\d.]+)m_h_(stokes|drag_corrected)$/,
				answer: (inputs, [, depth, kind]) =>
					drop(
						kind === "stokes" ? stokesMps : corrected,
						(mps) => settlingTimeS(Number(depth), mps) / 3600,
					)(inputs),
			},
		],
	},
	{
		group: 4,
		needs: needs(flow, bowl, viscosity, light, heavy),
		answers: {
			upflow_m_s: bowlCut((up) => up),
			d_cut_um: bowlCut((_, cut) => cut * 1e6),
			Re_p: bowlCut((up, cut, rho, mu) => number(up, cut, rho, mu)),
		},
	},
	{
		group: 4,
		needs: needs(dropViscosity, viscosity),
		answers: {
			factor_over_stokes: each([dropViscosity, viscosity], (inside = 0, outside = 0) =>
				mobileSurfaceFactor(inside, outside),
			),
		},
	},
	{
		group: 4,
		needs: needs(temperature),
		topic: /water/,
		answers: {
			B100_saturation_mg_kg: each([temperature], (kelvin = 0) =>
				fameSaturationMgKg(celsius(kelvin)),
			),
			diesel_saturation_mg_kg: each([temperature], (kelvin = 0) =>
				dieselSaturationMgKg(celsius(kelvin)),
			),
			ratio_B100_to_diesel: band(ratio),
			implied_diesel_saturation_mg_kg_range: band((kelvin) =>
				dieselSaturationMgKg(celsius(kelvin)),
			),
		},
		patterns: [
			{
				field: /^B(\d+)_saturation_mg_kg$/,
				answer: (inputs, [, percent]) =>
					each([temperature], (kelvin = 0) =>
						waterSolubilityMgKg(celsius(kelvin), Number(percent) / 100),
					)(inputs),
			},
		],
	},
	{
		group: 4,
		needs: needs(diesel, fame, share),
		answers: { blend_mg_kg: blend },
		patterns: [{ field: /^B\d+_mg_kg$/, answer: (inputs) => blend(inputs) }],
	},
	{
		group: 4,
		needs: [],
		topic: /separator/,
		answers: {
			ISO_16332_rated_flow_L_h: () => SEPARATOR_TESTS.iso16332RatedFlowLph,
			suction_side_droplets: () => SEPARATOR_TESTS.suctionSideDroplets,
			pressure_side_droplets: () => SEPARATOR_TESTS.pressureSideDroplets,
			SAE_J1488_interfacial_tension_mN_m: () => SEPARATOR_TESTS.saeJ1488InterfacialTensionMnM,
			SAE_J1488_temperature_C: () => SEPARATOR_TESTS.saeJ1488TemperatureC,
		},
	},
];
