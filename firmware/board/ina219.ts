// Registers of the INA219 current monitor and what they mean. Imports nothing. The pin map's
// `perCount` of its channels must agree. Source: its data sheet SBOS448, equations and table 3.

const SHUNT_COUNTS_PER_VOLT = 100_000;
const BUS_COUNTS_PER_VOLT = 250;
/** Three flag bits stand below the bus voltage. */
export const BUS_SHIFT = 3;
/** Widest range of the shunt's voltage. */
const SHUNT_VOLTS_MAX = 0.32;
/** One count of the power register is so many counts of current. */
const POWER_PER_CURRENT = 20;

export const shuntVolts = (register: number): number => register / SHUNT_COUNTS_PER_VOLT;

/** Current of one count of the shunt register, A. */
export const shuntAmpsPerCount = (shuntOhm: number): number =>
	1 / (SHUNT_COUNTS_PER_VOLT * shuntOhm);

export const shuntRegister = (amps: number, shuntOhm: number): number =>
	Math.round(amps * shuntOhm * SHUNT_COUNTS_PER_VOLT);

export const busCounts = (register: number): number => register >> BUS_SHIFT;

export const busVolts = (counts: number): number => counts / BUS_COUNTS_PER_VOLT;

/** Bus register for a voltage, its flags at 0. */
export const busRegister = (volts: number): number =>
	Math.round(volts * BUS_COUNTS_PER_VOLT) << BUS_SHIFT;

/** Calibration register for the current that one count shall mean. */
export function calibrationRegister(ampsPerCount: number, shuntOhm: number): number {
	// The sheet truncates; a quotient that is whole but for a double's rounding stays whole.
	return Math.trunc((0.04096 / (ampsPerCount * shuntOhm)) * (1 + 4 * Number.EPSILON));
}

export const currentRegister = (shunt: number, calibration: number): number =>
	Math.trunc((shunt * calibration) / 4096);

export const powerRegister = (current: number, counts: number): number =>
	Math.trunc((current * counts) / 5000);

export const powerWattsPerCount = (ampsPerCount: number): number =>
	POWER_PER_CURRENT * ampsPerCount;

/** Most current that the widest range holds, A. */
export const ampsMax = (shuntOhm: number): number => SHUNT_VOLTS_MAX / shuntOhm;
