// Group 15: thermistor, current monitor, ratiometric pressure. Codes and registers go in as they
// are read.

import {
	ampsMax,
	busCounts,
	busRegister,
	busVolts,
	calibrationRegister,
	currentRegister,
	powerRegister,
	powerWattsPerCount,
	shuntRegister,
	shuntVolts,
} from "../../../firmware/board/ina219.ts";
import { gaugeKpa } from "../../../firmware/sense/channels.ts";
import {
	betaC,
	lowerOhm,
	type SteinhartHart,
	steinhartHart,
	steinhartHartC,
} from "../../../firmware/sense/thermistor.ts";
import type { Adapter, Inputs } from "../adapter.ts";
import { list, one, over } from "../given.ts";

function curve(inputs: Inputs, ohmKey: string, tempKey: string): SteinhartHart {
	const ohms = list(inputs, ohmKey);
	const temps = list(inputs, tempKey);
	const point = (i: number) => ({ ohm: ohms[i] ?? Number.NaN, tempC: temps[i] ?? Number.NaN });
	return steinhartHart(point(0), point(1), point(2));
}

function curveAdapter(ohmKey: string, tempKey: string): Adapter {
	const from = (inputs: Inputs) => curve(inputs, ohmKey, tempKey);
	const tested = (inputs: Inputs) =>
		over(inputs, ["test_R_ohm"], (ohm = 0) => steinhartHartC(from(inputs), ohm));
	return {
		group: 15,
		needs: [ohmKey, tempKey],
		answers: {
			A: (inputs) => from(inputs).a,
			B: (inputs) => from(inputs).b,
			C: (inputs) => from(inputs).c,
			remembered_A_B_C: (inputs) => {
				const { a, b, c } = from(inputs);
				return [a, b, c];
			},
			T_C: tested,
			table_T_C: tested,
		},
		patterns: [
			{
				field: /^T_at_([\d.]+)_C$/,
				answer: (inputs, [, ohm]) => steinhartHartC(from(inputs), Number(ohm)),
			},
		],
	};
}

const divider = (more: number) => (inputs: Inputs) =>
	over(inputs, ["code", "R_series", ["full_scale_code", 1023]], (code = 0, series = 0, full = 0) =>
		lowerOhm(code / (full + more), series),
	);

/** What a monitor reads and makes of it, from its raw registers. */
function fromRegisters(inputs: Inputs) {
	const shunt = one(inputs, "shunt_reg");
	const bus = busCounts(one(inputs, "bus_reg_raw"));
	return { shunt, bus };
}

/** The same from what is really there. */
function fromQuantities(inputs: Inputs) {
	const shunt = shuntRegister(one(inputs, "I_A"), one(inputs, "R_shunt_ohm"));
	const bus = busCounts(busRegister(one(inputs, "V_bus_V")));
	return { shunt, bus };
}

function monitorAnswers(read: (inputs: Inputs) => { shunt: number; bus: number }) {
	const lsb = (inputs: Inputs) => one(inputs, "current_LSB_A");
	const calibration = (inputs: Inputs) =>
		calibrationRegister(lsb(inputs), one(inputs, "R_shunt_ohm"));
	const current = (inputs: Inputs) => currentRegister(read(inputs).shunt, calibration(inputs));
	const power = (inputs: Inputs) => powerRegister(current(inputs), read(inputs).bus);
	const answers: Adapter["answers"] = {
		cal_reg: calibration,
		cal_hex: (inputs) => `0x${calibration(inputs).toString(16).toUpperCase().padStart(4, "0")}`,
		shunt_reg: (inputs) => read(inputs).shunt,
		V_shunt_V: (inputs) => shuntVolts(read(inputs).shunt),
		bus_adc: (inputs) => read(inputs).bus,
		bus_reg_raw_without_flags: (inputs) => busRegister(busVolts(read(inputs).bus)),
		V_bus_V: (inputs) => busVolts(read(inputs).bus),
		current_reg: current,
		I_A: (inputs) => current(inputs) * lsb(inputs),
		power_reg: power,
		P_W: (inputs) => power(inputs) * powerWattsPerCount(lsb(inputs)),
		power_LSB_W: (inputs) => powerWattsPerCount(lsb(inputs)),
		max_I_A_at_320mV: (inputs) => ampsMax(one(inputs, "R_shunt_ohm")),
	};
	return answers;
}

export const inputsAdapters: readonly Adapter[] = [
	curveAdapter("fit_points_R_ohm", "fit_points_T_C"),
	curveAdapter("R_ohm", "T_C"),
	{
		group: 15,
		needs: ["R0", "T0_C", "B_K", "R_ohm"],
		answers: {
			T_C: (inputs) =>
				over(inputs, ["R0", "T0_C", "B_K", "R_ohm"], (ohm = 0, tempC = 0, betaK = 0, at = 0) =>
					betaC({ ohm, tempC }, betaK, at),
				),
		},
	},
	{
		group: 15,
		needs: ["code", "R_series"],
		answers: { R_ohm: divider(0), R_ohm_if_1024: divider(1) },
	},
	{
		group: 15,
		needs: ["R_shunt_ohm", "shunt_reg", "bus_reg_raw", "current_LSB_A"],
		answers: monitorAnswers(fromRegisters),
	},
	{
		group: 15,
		needs: ["R_shunt_ohm", "current_LSB_A", "I_A", "V_bus_V"],
		answers: monitorAnswers(fromQuantities),
	},
	{
		group: 15,
		needs: ["code", "Vref"],
		answers: {
			kPa: (inputs) => {
				const low = one(inputs, ["kPa_min", -100]);
				const high = one(inputs, ["kPa_max", 100]);
				// The span of pressure lies between 10 % and 90 % of the reference.
				const kpaPerShare = (high - low) / 0.8;
				const zeroShare = 0.1 - low / kpaPerShare;
				return over(inputs, ["code", ["bits", 10]], (code = 0, bits = 10) =>
					gaugeKpa(code, bits, zeroShare, kpaPerShare),
				);
			},
		},
	},
];
