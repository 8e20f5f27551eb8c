// Reference rows of group 7, a filter that clogs, by sim/physics/cake.ts; the check fluid's
// viscosity by sim/physics/diesel.ts.

import {
	type Cake,
	cakeFromConstants,
	constantPressureS,
	constantRatePa,
	constantRateSlopePaM3,
	dropAtViscosityPa,
	fitConstants,
	type RuthConstants,
	rateThenPressureS,
	ruthConstants,
	scaledConstants,
} from "../../../sim/physics/cake.ts";
import { type Diesel, liquidAt } from "../../../sim/physics/diesel.ts";
import type { Adapter, Answer, Inputs } from "../adapter.ts";
import { each, list, needs, one, type Quantity, quantity } from "../quantity.ts";

const time = quantity({ t_s: 1 });
const volume = quantity({ V_m3: 1, V_L: 0.001 });
const area = quantity({ A_m2: 1 });
const drop = quantity({ dP_Pa: 1 });
const viscosity = quantity({ mu_Pa_s: 1 });
const solids = quantity({ cs_kg_m3: 1, c_kg_m3: 1 });
const kp = quantity({ Kp_s_m6: 1 });
const b = quantity({ B_s_m3: 1 });
const kpSmall = quantity({ Kp_small: 1, Kp_small_s_m6: 1 });
const bSmall = quantity({ B_small: 1, B_small_s_m3: 1 });
const small = quantity({ A_small_m2: 1 });
const large = quantity({ A_large_m2: 1 });
const alpha = quantity({ alpha_m_kg: 1 });
const medium = quantity({ Rm_1_m: 1 });
const flow = quantity({ Q_L_h: 0.001 / 3600, Q_m3_s: 1 });
const rateTime = quantity({ t_constant_rate_s: 1 });
const share = quantity({ fraction_of_filtrate_in_that_period: 1 });

/** The fitted constants of a test, and the cake behind them. */
function fitted(pick: (constants: RuthConstants) => number): Answer {
	return (inputs) => {
		const [times, volumes] = [list(inputs, time), list(inputs, volume)];
		if (times === undefined || times.length !== volumes?.length) return undefined;
		return pick(fitConstants(times, volumes));
	};
}

function fittedCake(pick: (cake: Cake) => number): Answer {
	return (inputs) => {
		const of = (what: Quantity) => one(inputs, what) ?? Number.NaN;
		return fitted((constants) =>
			pick(cakeFromConstants(constants, of(area), of(drop), of(viscosity), of(solids))),
		)(inputs);
	};
}

function cake(pick: (cake: Cake) => number): Answer {
	return each([kp, b, area, drop, viscosity, solids], (k = 0, c = 0, a = 0, p = 0, mu = 0, s = 0) =>
		pick(cakeFromConstants({ kp: k, b: c }, a, p, mu, s)),
	);
}

function scaled(pick: (constants: RuthConstants) => number): Answer {
	return each([kpSmall, bSmall, small, large], (k = 0, c = 0, from = 0, to = 0) =>
		pick(scaledConstants({ kp: k, b: c }, from, to)),
	);
}

const CAKE = [alpha, medium, solids, area, viscosity] as const;

/** A function of a known cake in a known liquid, and of further quantities. */
function known(
	more: readonly Quantity[],
	find: (cake: Cake, mu: number, ...more: number[]) => number,
): Answer {
	return each(
		[...CAKE, ...more],
		(alphaMKg = 0, mediumPerM = 0, solidsKgM3 = 0, areaM2 = 0, mu = 0, ...rest) =>
			find({ alphaMKg, mediumPerM, solidsKgM3, areaM2 }, mu, ...rest),
	);
}

const pressureTime = known([drop, volume], (of, mu, p = 0, v = 0) =>
	constantPressureS(ruthConstants(of, mu, p), v),
);

/** The reference rows' invented diesel (README beside them): 835 kg/m³, 2.70 mm²/s at 40 °C. */
const checkFluid: Diesel = { density15KgM3: 835, viscosityAt40Mm2s: 2.7, cloudPointC: -10 };

/**
 * Drop of a clean filter by viscosity, from the one that the row gives as `dP_at_15C_Pa`. Where it
 * names no viscosity for that temperature it means the check fluid's: the row's own entry that is
 * within 1 % of it, else its value to four digits, as the rows have it.
 */
function byViscosity(inputs: Inputs): unknown {
	for (const [name, dropPa] of Object.entries(inputs)) {
		const degrees = /^dP_at_(-?[\d.]+)C_Pa$/.exec(name)?.[1];
		if (degrees === undefined || typeof dropPa !== "number") continue;
		const own = liquidAt(checkFluid, Number(degrees)).dynamicPas;
		const listed = list(inputs, viscosity)?.find((mu) => Math.abs(mu / own - 1) < 0.01);
		const stated = one(inputs, quantity({ [`mu_at_${degrees}C_Pa_s`]: 1 }));
		const from = stated ?? listed ?? Number(own.toPrecision(4));
		return each([viscosity], (mu = 0) => dropAtViscosityPa(dropPa, from, mu))(inputs);
	}
	return undefined;
}

export const cakeAdapters: readonly Adapter[] = [
	{
		group: 7,
		needs: needs(time, volume),
		answers: {
			Kp_half_least_squares_s_m6: fitted((fit) => fit.kp / 2),
			Kp_least_squares_s_m6: fitted((fit) => fit.kp),
			Kp_s_m6: fitted((fit) => fit.kp),
			B_least_squares_s_m3: fitted((fit) => fit.b),
			B_s_m3: fitted((fit) => fit.b),
		},
	},
	{
		group: 7,
		needs: needs(time, volume, area, drop, viscosity, solids),
		answers: {
			alpha_least_squares_m_kg: fittedCake((found) => found.alphaMKg),
			alpha_m_kg: fittedCake((found) => found.alphaMKg),
			Rm_least_squares_1_m: fittedCake((found) => found.mediumPerM),
			Rm_1_m: fittedCake((found) => found.mediumPerM),
		},
	},
	{
		group: 7,
		needs: needs(kp, b, area, drop, viscosity, solids),
		answers: {
			alpha_m_kg: cake((found) => found.alphaMKg),
			Rm_1_m: cake((found) => found.mediumPerM),
		},
	},
	{
		group: 7,
		needs: needs(kpSmall, bSmall, small, large),
		answers: {
			Kp_s_m6: scaled((large) => large.kp),
			B_s_m3: scaled((large) => large.b),
			t_s: each([kpSmall, bSmall, small, large, volume], (k = 0, c = 0, from = 0, to = 0, v = 0) =>
				constantPressureS(scaledConstants({ kp: k, b: c }, from, to), v),
			),
		},
	},
	{
		group: 7,
		needs: needs(kp, b, volume),
		answers: {
			t_s: each([kp, b, volume], (k = 0, c = 0, v = 0) => constantPressureS({ kp: k, b: c }, v)),
		},
	},
	{
		group: 7,
		needs: needs(rateTime, share),
		answers: {
			t_total_s: each([rateTime, share], (t = 0, part = 0) => rateThenPressureS(t, part)),
		},
	},
	{
		group: 7,
		needs: needs(...CAKE, flow),
		answers: {
			dP_Pa: known([flow, volume], (of, mu, q = 0, v = 0) => constantRatePa(of, mu, q, v)),
			slope_Pa_per_m3: known([flow], (of, mu, q = 0) => constantRateSlopePaM3(of, mu, q)),
		},
	},
	{
		group: 7,
		needs: needs(...CAKE, drop, volume),
		answers: {
			t_s: pressureTime,
			t_h: known(
				[drop, volume],
				(of, mu, p = 0, v = 0) => constantPressureS(ruthConstants(of, mu, p), v) / 3600,
			),
			Kp_s_m6: known([drop], (of, mu, p = 0) => ruthConstants(of, mu, p).kp),
			B_s_m3: known([drop], (of, mu, p = 0) => ruthConstants(of, mu, p).b),
		},
	},
	{
		group: 7,
		needs: needs(viscosity),
		topic: /temperature|viscosity/,
		answers: { dP_Pa: byViscosity },
	},
];
