// Group 9: Peukert, rest voltage, charge and energy of a run. Formulas and published table are the
// battery model's own.

import {
	acidDensityKgL,
	chargeAh,
	chargeAtRest,
	energyWh,
	FLOODED_LEAD_ACID,
	measuredChargeAs,
	peukertExponent,
	peukertHours,
	peukertOneHourHours,
	restVolts,
	turnoverHours,
	usableHours,
} from "../../../sim/physics/battery.ts";
import type { Adapter, Inputs } from "../adapter.ts";
import { type Key, list, one, over } from "../given.ts";

const SECONDS_PER_HOUR = 3600;

const rated = (inputs: Inputs, shown: (hours: number, amps: number) => unknown) =>
	over(
		inputs,
		["C_Ah", ["H_h", 20], "k", "I_A"],
		(capacityAh = 0, ratedHours = 0, exponent = 0, amps = 0) =>
			shown(peukertHours({ capacityAh, ratedHours, exponent }, amps), amps),
	);

const oneHour = (inputs: Inputs) => over(inputs, ["Cp_Ah", "k", "I_A"], peukertOneHourHours);

const usable = (inputs: Inputs, shown: (hours: number) => unknown) =>
	over(inputs, ["C_Ah", ["usable", 1], "I_A"], (capacityAh = 0, share = 0, amps = 0) =>
		shown(usableHours(capacityAh, share, amps)),
	);

const RUN: readonly Key[] = ["turnovers", "V_L", "Q_L_h"];

export const batteryAdapters: readonly Adapter[] = [
	{
		group: 9,
		needs: ["C_Ah", "k", "I_A"],
		answers: {
			t_h: (inputs) => rated(inputs, (hours) => hours),
			delivered_Ah: (inputs) => rated(inputs, (hours, amps) => chargeAh(amps, hours)),
		},
	},
	{ group: 9, needs: ["Cp_Ah", "k", "I_A"], answers: { t_h: oneHour, printed_t_h: oneHour } },
	{
		group: 9,
		needs: ["t1_h", "I1_A", "t2_h", "I2_A"],
		answers: {
			k: (inputs) =>
				over(inputs, ["t1_h", "I1_A", "t2_h", "I2_A"], (t1 = 0, i1 = 0, t2 = 0, i2 = 0) =>
					peukertExponent({ hours: t1, amps: i1 }, { hours: t2, amps: i2 }),
				),
		},
	},
	{
		group: 9,
		needs: ["SoC_pct"],
		answers: {
			OCV_V: (inputs) =>
				over(inputs, ["SoC_pct"], (pct = 0) => restVolts(FLOODED_LEAD_ACID, pct / 100)),
			specific_gravity: (inputs) =>
				over(inputs, ["SoC_pct"], (pct = 0) => acidDensityKgL(pct / 100)),
		},
	},
	{
		group: 9,
		needs: ["OCV_V"],
		answers: {
			SoC_pct: (inputs) =>
				over(inputs, ["OCV_V"], (volts = 0) => 100 * chargeAtRest(FLOODED_LEAD_ACID, volts)),
		},
	},
	{
		group: 9,
		needs: ["I_A", "turnovers", "V_L", "Q_L_h"],
		answers: {
			t_h: (inputs) => over(inputs, RUN, turnoverHours),
			Ah: (inputs) =>
				over(inputs, ["I_A", ...RUN], (amps = 0, turnovers = 0, litres = 0, lph = 0) =>
					chargeAh(amps, turnoverHours(turnovers, litres, lph)),
				),
			Wh: (inputs) =>
				over(
					inputs,
					[["V_supply", 12], "I_A", ...RUN],
					(volts = 0, amps = 0, turnovers = 0, litres = 0, lph = 0) =>
						energyWh(volts, chargeAh(amps, turnoverHours(turnovers, litres, lph))),
				),
		},
	},
	{
		group: 9,
		needs: ["C_Ah", "usable", "I_A"],
		answers: { t_h: (inputs) => usable(inputs, (hours) => hours) },
		patterns: [
			{
				field: /^litres_at_([\d.]+)_L_h$/,
				answer: (inputs, [, flowLph]) => usable(inputs, (hours) => hours * Number(flowLph)),
			},
		],
	},
	{
		group: 9,
		needs: ["t_s", "I_A"],
		answers: {
			As: (inputs) => measuredChargeAs(list(inputs, "t_s"), list(inputs, "I_A")),
			Ah: (inputs) => measuredChargeAs(list(inputs, "t_s"), list(inputs, "I_A")) / SECONDS_PER_HOUR,
		},
	},
	{
		group: 9,
		needs: ["I_A", "t_h"],
		answers: {
			Ah: (inputs) => over(inputs, ["I_A", "t_h"], chargeAh),
			Wh: (inputs) =>
				over(inputs, ["I_A", "t_h"], (amps = 0, hours = 0) =>
					energyWh(one(inputs, ["V_supply", 12]), chargeAh(amps, hours)),
				),
		},
	},
];
