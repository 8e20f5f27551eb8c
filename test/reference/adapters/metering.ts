// Group 10: K-factor, uncertainty of a count, calibration, repeated runs. A measured quantity is
// a pair of a value and its standard uncertainty.

import {
	bucketFlowLpm,
	COUNT_AT_RANDOM,
	COUNT_FROM_PULSE,
	type Combined,
	combine,
	hzPerLpm,
	kFactorByWeighing,
	type Measured,
	pulseHz,
	rectangular,
	repeated,
	stopwatch,
} from "../../../firmware/calibration.ts";
import type { Adapter, Inputs } from "../adapter.ts";
import { list, one, over } from "../given.ts";

/** A value and its uncertainty, given as a pair; a value alone is taken as known. */
function pair(inputs: Inputs, key: string): Measured {
	const [value = Number.NaN, uncertainty = 0] = list(inputs, key);
	return { value, uncertainty };
}

const weighed = (inputs: Inputs): Measured =>
	kFactorByWeighing(pair(inputs, "pulses"), pair(inputs, "mass_kg"), pair(inputs, "rho_kg_L"));

const bucket = (inputs: Inputs): Measured => {
	const halfWidth = one(inputs, ["V_half_width_rectangular_L", 0]);
	const litres = { value: one(inputs, "V_L"), uncertainty: rectangular(halfWidth) };
	return bucketFlowLpm(litres, stopwatch(one(inputs, "t_s"), one(inputs, ["u_each_press_s", 0])));
};

const relative = ({ value, uncertainty }: Measured): number => uncertainty / value;

/** Components that are each the spread of so many readings. */
function budget(inputs: Inputs): Combined {
	const counts = list(inputs, "n");
	const components = list(inputs, "u_rel_pct").map((uncertainty, i) => ({
		uncertainty,
		degreesOfFreedom: (counts[i] ?? Number.NaN) - 1,
	}));
	return combine(components, 0.95);
}

function meanInterval(inputs: Inputs): number {
	const { uncertainty, degreesOfFreedom } = repeated(list(inputs, "x"));
	return combine([{ uncertainty, degreesOfFreedom }], 0.95).expanded;
}

export const meteringAdapters: readonly Adapter[] = [
	{
		group: 10,
		needs: ["K_pulses_per_L", "Q_L_min"],
		answers: {
			f_Hz: (inputs) => over(inputs, ["K_pulses_per_L", "Q_L_min"], pulseHz),
			F_per_Lmin: (inputs) => over(inputs, ["K_pulses_per_L"], hzPerLpm),
		},
	},
	{
		group: 10,
		needs: ["counts"],
		answers: {
			u_counts_start_synchronised_one_sided_rectangular: () => COUNT_FROM_PULSE,
			u_counts_both_ends_random_triangular: () => COUNT_AT_RANDOM,
			rel_u_triangular: (inputs) =>
				over(inputs, ["counts"], (count = 0) => COUNT_AT_RANDOM / count),
			rel_max_1_count: (inputs) => over(inputs, ["counts"], (count = 0) => 1 / count),
		},
	},
	{
		group: 10,
		needs: ["mass_kg", "rho_kg_L", "pulses"],
		answers: {
			K_pulses_per_L: (inputs) => weighed(inputs).value,
			u_K: (inputs) => weighed(inputs).uncertainty,
			u_rel: (inputs) => relative(weighed(inputs)),
			U_k2_pct: (inputs) => 100 * 2 * relative(weighed(inputs)),
		},
	},
	{
		group: 10,
		needs: ["V_L", "t_s"],
		answers: {
			Q_L_min: (inputs) => bucket(inputs).value,
			u_Q_L_min: (inputs) => bucket(inputs).uncertainty,
			u_rel: (inputs) => relative(bucket(inputs)),
			U_k2_L_min: (inputs) => 2 * bucket(inputs).uncertainty,
		},
	},
	{
		group: 10,
		needs: ["u_rel_pct", "n"],
		answers: {
			uc_rel_pct: (inputs) => budget(inputs).uncertainty,
			nu_eff: (inputs) => budget(inputs).degreesOfFreedom,
			t95: (inputs) => budget(inputs).factor,
			U95_pct: (inputs) => budget(inputs).expanded,
			printed: (inputs) => {
				const { uncertainty, degreesOfFreedom, expanded } = budget(inputs);
				return { uc_pct: uncertainty, nu_eff: degreesOfFreedom, U95_pct: expanded };
			},
		},
	},
	{
		group: 10,
		needs: ["x"],
		answers: {
			mean: (inputs) => repeated(list(inputs, "x")).mean,
			s: (inputs) => repeated(list(inputs, "x")).deviation,
			u_mean: (inputs) => repeated(list(inputs, "x")).uncertainty,
		},
		// The field's name carries the degrees of freedom, which follow from the readings too.
		patterns: [{ field: /^U95_t\d+$/, answer: meanInterval }],
	},
];
