// Reference rows of group 2, atmosphere, lift, suction head and units, by sim/physics/atmosphere.ts
// and units.ts.

import {
	netPositiveSuctionHeadM,
	pressureAtAltitudePa,
	pressureAtGeopotentialPa,
	suctionLiftLimitM,
	temperatureK,
} from "../../../sim/physics/atmosphere.ts";
import { SI } from "../../../sim/physics/units.ts";
import type { Adapter, Answer, Inputs } from "../adapter.ts";
import { each, needs, quantity } from "../quantity.ts";

const geopotential = quantity({ H_m: 1 });
const altitude = quantity({ Z_m: 1 });
const density = quantity({ rho_kg_m3: 1 });
const vapour = quantity({ vapour_pressure_Pa: 1, P_v_Pa: 1, P_sat_Pa: 1 });
const gravity = quantity({ g_m_s2: 1 }, 9.80665);
const lift = quantity({ lift_m: 1, static_lift_m: 1 }, 0);
const surface = quantity({ P_tank_Pa_abs: 1, P_atm_Pa: 1 });
const frictionPa = quantity({ friction_Pa: 1 }, 0);
const frictionM = quantity({ friction_head_m: 1 }, 0);

/** Suction head in a unit of length, from the pressure on the liquid or from the altitude. */
function head(unit: number): Answer {
	return (inputs) => {
		const stated = needs(surface)[0]
			?.split("|")
			.some((name) => inputs[name] !== undefined);
		const all = [
			stated ? surface : altitude,
			vapour,
			density,
			lift,
			frictionPa,
			frictionM,
			gravity,
		];
		return each(all, (p = 0, pv = 0, rho = 0, up = 0, lossPa = 0, lossM = 0, g = 0) => {
			const onSurface = stated ? p : pressureAtAltitudePa(p);
			return netPositiveSuctionHeadM(onSurface, pv, rho, up, lossPa + lossM * rho * g, g) / unit;
		})(inputs);
	};
}

/** Each `2.5 psi` of the list as [number, unit]; a trailing `_conventional` says nothing new. */
function quantities(inputs: Inputs): (readonly [number, string])[] | undefined {
	const given = Array.isArray(inputs.value) ? inputs.value : [inputs.value];
	const parsed = given.map((text: unknown) => {
		const match = /^\s*(\S+)\s+(.+?)(_conventional)?\s*$/.exec(String(text));
		return match === null ? undefined : ([Number(match[1]), match[2] ?? ""] as const);
	});
	return parsed.every((one) => one !== undefined) ? parsed : undefined;
}

const isUnit = (name: string): name is keyof typeof SI => Object.hasOwn(SI, name);

function inSi(inputs: Inputs): unknown {
	return quantities(inputs)?.map(([amount, unit]) =>
		isUnit(unit) ? amount * SI[unit].size : undefined,
	);
}

function siName(inputs: Inputs): unknown {
	return quantities(inputs)?.map(([, unit]) => (isUnit(unit) ? SI[unit].si : undefined));
}

export const atmosphereAdapters: readonly Adapter[] = [
	{
		group: 2,
		needs: needs(geopotential),
		answers: {
			P_Pa: each([geopotential], (h = 0) => pressureAtGeopotentialPa(h)),
			T_K: each([geopotential], (h = 0) => temperatureK(h)),
			T_C: each([geopotential], (h = 0) => temperatureK(h) - 273.15),
		},
	},
	{
		group: 2,
		needs: needs(altitude),
		answers: {
			P_Pa: each([altitude], (z = 0) => pressureAtAltitudePa(z)),
			P_atm_Pa: each([altitude], (z = 0) => pressureAtAltitudePa(z)),
		},
	},
	{
		group: 2,
		needs: needs(altitude, density, vapour),
		answers: {
			h_max_m: each([altitude, vapour, density, gravity], (z = 0, pv = 0, rho = 0, g = 0) =>
				suctionLiftLimitM(pressureAtAltitudePa(z), pv, rho, g),
			),
		},
	},
	{
		group: 2,
		needs: [...needs(density, vapour), "P_tank_Pa_abs|P_atm_Pa|Z_m"],
		answers: { NPSHa_m: head(1), NPSHa_ft: head(SI.ft.size) },
	},
	{ group: 2, needs: ["value"], topic: /unit/, answers: { SI: inSi, unit: siName } },
];
