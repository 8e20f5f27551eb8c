// Group 5: particle counts, cleanliness codes, filtration ratio, multi-pass cleaning. Counts are
// for each mL, times in hours.

import {
	downstreamPerMl,
	efficiencyOfBeta,
	ISO_4406_MAX_PER_ML,
	isoCode,
	isoCodes,
	multiPassPerMl,
	multiPassSteadyPerMl,
} from "../../../sim/physics/filtration.ts";
import type { Adapter, Inputs } from "../adapter.ts";
import { type Key, list, one, over } from "../given.ts";

/** The tank's inputs, in the order of `pass`. */
const PASS: readonly Key[] = [
	"C0_per_mL",
	"V_L",
	"Q_L_h",
	"efficiency",
	["ingress_per_mL_x_L_h", 0],
];

const pass = (
	startPerMl = 0,
	volumeLitres = 0,
	flowLph = 0,
	efficiency = 0,
	ingressPerMlLph = 0,
) => ({ startPerMl, volumeLitres, flowLph, efficiency, ingressPerMlLph });

const countAfter = (inputs: Inputs, shown: (perMl: number) => unknown) =>
	over(inputs, ["t_h", ...PASS], (hours = 0, ...tank) =>
		shown(multiPassPerMl(pass(...tank), hours)),
	);

const behind = (inputs: Inputs, shown: (perMl: number) => unknown) =>
	over(inputs, ["upstream_per_mL", "beta"], (upstream = 0, beta = 1) =>
		shown(downstreamPerMl(upstream, beta)),
	);

export const cleanlinessAdapters: readonly Adapter[] = [
	{
		group: 5,
		needs: ["code"],
		answers: {
			up_to_and_including_per_mL: (inputs) =>
				over(inputs, ["code"], (code = 0) => ISO_4406_MAX_PER_ML[code]),
			above_2500000: () => isoCode(2_500_001),
		},
	},
	{
		group: 5,
		needs: ["particles_per_mL"],
		answers: { code: (inputs) => over(inputs, ["particles_per_mL"], isoCode) },
	},
	{
		group: 5,
		needs: ["n4_n6_n14_per_mL"],
		answers: { code: (inputs) => isoCodes(list(inputs, "n4_n6_n14_per_mL")) },
	},
	{
		group: 5,
		needs: ["upstream_per_mL", "beta"],
		answers: {
			downstream_per_mL: (inputs) => behind(inputs, (perMl) => perMl),
			code_before: (inputs) => over(inputs, ["upstream_per_mL"], isoCode),
			code_after: (inputs) => behind(inputs, isoCode),
		},
	},
	{
		group: 5,
		needs: ["beta"],
		answers: { efficiency: (inputs) => over(inputs, ["beta"], efficiencyOfBeta) },
	},
	{
		group: 5,
		needs: ["C0_per_mL", "V_L", "Q_L_h", "efficiency", "t_h"],
		answers: {
			C_per_mL: (inputs) => countAfter(inputs, (perMl) => perMl),
			code: (inputs) => countAfter(inputs, isoCode),
			C_steady_per_mL: (inputs) =>
				multiPassSteadyPerMl(pass(...PASS.map((key) => one(inputs, key)))),
		},
	},
];
