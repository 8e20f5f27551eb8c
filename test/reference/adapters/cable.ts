// Group 8: wire gauges, standard conductors, voltage drop, what a cable may carry. Feet and
// circular mils are the rows' units.

import { abycAmps, bundleShare, type InsulationC, isoAmps } from "../../../sim/physics/ampacity.ts";
import {
	abycCircularMils,
	awgAreaM2,
	awgDiameterM,
	awgOfCircularMils,
	COPPER_OHM_M,
	type ConductorBuild,
	conductorOhmPerKm,
	copperFactor,
	iecCopperFactor,
	mm2OfCircularMils,
	ohmPerM,
	roundTripFt,
	runDropVolts,
} from "../../../sim/physics/cable.ts";
import { type Adapter, type Inputs, LeftOut } from "../adapter.ts";
import { type Key, over } from "../given.ts";

const METRES_PER_1000_FT = 304.8;
const RHO: Key = ["rho_ohm_m", COPPER_OHM_M];

const gaugeOhmPerM = (awg = 0, rho = COPPER_OHM_M) => ohmPerM(awgAreaM2(awg), rho);

const conductorOhm = (build: ConductorBuild) => (inputs: Inputs) =>
	over(inputs, ["mm2"], (mm2 = 0) => conductorOhmPerKm(mm2, build));

/** Drop of a run; its resistance from the row, else from the table for its size and class. */
function drop(inputs: Inputs, shown: (volts: number, share: number) => unknown): unknown {
	const build = Number(inputs.class ?? 5) === 2 ? "class2Plain" : "class5Plain";
	const measured = inputs.R_ohm_km !== undefined;
	const keys: Key[] = ["one_way_m", "I_A", ["V_nominal", 12], ["T_C", 20]];
	const size = measured ? "R_ohm_km" : "mm2";
	return over(inputs, [size, ...keys], (of = 0, oneWayM = 0, amps = 0, supply = 0, tempC = 20) => {
		const ohmPerKm = measured ? of : conductorOhmPerKm(of, build);
		if (ohmPerKm === null) return undefined;
		const volts = runDropVolts(ohmPerKm, oneWayM, amps, tempC);
		return shown(volts, volts / supply);
	});
}

const dropAnswers: Adapter["answers"] = {
	drop_V: (inputs) => drop(inputs, (volts) => volts),
	drop_pct: (inputs) => drop(inputs, (_, share) => 100 * share),
	within_3pct: (inputs) => drop(inputs, (_, share) => share <= 0.03),
	within_10pct: (inputs) => drop(inputs, (_, share) => share <= 0.1),
};

const abyc = (
	keys: readonly Key[],
	tripFt: (length: number) => number,
	shown: (circularMils: number) => unknown,
) => {
	return (inputs: Inputs) =>
		over(inputs, keys, (amps = 0, length = 0, volts = 0) =>
			shown(abycCircularMils(amps, tripFt(length), volts)),
		);
};

const FEET: readonly Key[] = ["I_A", "L_ft", "E_V"];
const METRES: readonly Key[] = ["I_A", "one_way_m", "E_V"];
const inFeet = abyc.bind(null, FEET, (feet) => feet);
const inMetres = abyc.bind(null, METRES, roundTripFt);

/** Row abyc-rig takes 10 m for 32.808 ft; it is 32.80840. Its tolerance is a tenth of that. */
const roundedFeet = () =>
	new LeftOut("rows in metres round the feet; by 1 ft = 0.3048 m it is 1.2e-5 more");

const gaugeAmps = (engineSpace: boolean) => (inputs: Inputs) =>
	over(inputs, ["AWG"], (awg = 0) => abycAmps(awg, { engineSpace, bundled: 1 }));

const sizeAmps = (insulationC: InsulationC) => (inputs: Inputs) =>
	over(inputs, ["mm2"], (mm2 = 0) => isoAmps(mm2, insulationC));

export const cableAdapters: readonly Adapter[] = [
	{
		group: 8,
		needs: ["AWG"],
		answers: {
			diameter_mm: (inputs) => over(inputs, ["AWG"], (awg = 0) => 1e3 * awgDiameterM(awg)),
			area_mm2: (inputs) => over(inputs, ["AWG"], (awg = 0) => 1e6 * awgAreaM2(awg)),
			R_mohm_per_m: (inputs) =>
				over(inputs, ["AWG", RHO], (awg, rho) => 1e3 * gaugeOhmPerM(awg, rho)),
			handbook_ohm_per_1000ft: (inputs) =>
				over(inputs, ["AWG", RHO], (awg, rho) => METRES_PER_1000_FT * gaugeOhmPerM(awg, rho)),
			outside_engine_space_A: gaugeAmps(false),
			inside_engine_space_A: gaugeAmps(true),
			bundle_3_factor: () => bundleShare(3),
			bundle_4to6_factor: () => bundleShare(5),
			bundle_7to24_factor: () => bundleShare(12),
		},
	},
	{
		group: 8,
		needs: ["mm2"],
		answers: {
			class2_plain_ohm_km: conductorOhm("class2Plain"),
			class2_coated_ohm_km: conductorOhm("class2Coated"),
			class5_plain_ohm_km: conductorOhm("class5Plain"),
			class5_tinned_ohm_km: conductorOhm("class5Tinned"),
			"60C_A": sizeAmps(60),
			"70C_A": sizeAmps(70),
			"105C_A": sizeAmps(105),
		},
	},
	{
		group: 8,
		needs: ["T_C"],
		answers: {
			factor_exact_annealed: (inputs) => over(inputs, ["T_C"], copperFactor),
			"iec_correction_254.5": (inputs) => over(inputs, ["T_C"], iecCopperFactor),
		},
	},
	{ group: 8, needs: ["R_ohm_km|mm2", "I_A", "one_way_m"], answers: dropAnswers },
	{
		group: 8,
		needs: ["I_A", "L_ft", "E_V"],
		answers: {
			CM: inFeet((circularMils) => circularMils),
			mm2: inFeet(mm2OfCircularMils),
			AWG: inFeet(awgOfCircularMils),
			AWG_min: inFeet(awgOfCircularMils),
		},
	},
	{
		group: 8,
		needs: ["I_A", "one_way_m", "E_V"],
		answers: {
			CM: roundedFeet,
			mm2: roundedFeet,
			AWG: inMetres(awgOfCircularMils),
			AWG_min: inMetres(awgOfCircularMils),
		},
	},
];
