// A 12 V battery and what charges it: hours by Peukert, rest voltage against state of charge,
// terminal voltage, charge and energy of a current. Imports nothing. State of charge is a share, 0
// to 1. Numbers: published tables named beside them; what is invented says so.

/** Capacity of a battery as its maker rates it. */
export interface Rating {
	readonly capacityAh: number;
	/** Hours of the discharge that the capacity was measured at, 20 as a rule. */
	readonly ratedHours: number;
	/** Peukert's exponent: 1 = none, about 1.05 lithium, 1.1 to 1.3 lead (common practice). */
	readonly exponent: number;
}

/**
 * Hours that a full battery gives a steady current: H (C/(I H))^k. Below the rated current the
 * formula gives more than the rated capacity; whoever integrates uses {@link effectiveAmps}.
 * Source: W. Peukert (1897) in the rated-hour form.
 */
export function peukertHours({ capacityAh, ratedHours, exponent }: Rating, amps: number): number {
	return ratedHours * (capacityAh / (amps * ratedHours)) ** exponent;
}

/**
 * Hours by the one-hour form: C/I^k, with C the capacity that one ampere would give. The same
 * number of ampere-hours means another battery in each form: never mix them.
 */
export const peukertOneHourHours = (capacityAh: number, exponent: number, amps: number): number =>
	capacityAh / amps ** exponent;

/** One discharge at a steady current down to empty. */
export interface Discharge {
	readonly hours: number;
	readonly amps: number;
}

/** Peukert's exponent from two discharges: (ln t2 - ln t1)/(ln I1 - ln I2). */
export const peukertExponent = (one: Discharge, other: Discharge): number =>
	Math.log(other.hours / one.hours) / Math.log(one.amps / other.amps);

/**
 * Rate, A, at which a current uses up the rated capacity. Never less than the current itself: a
 * slow discharge gives no more than the rated ampere-hours (common practice).
 */
export function effectiveAmps({ capacityAh, ratedHours, exponent }: Rating, amps: number): number {
	const ratedAmps = capacityAh / ratedHours;
	return amps <= ratedAmps ? amps : amps * (amps / ratedAmps) ** (exponent - 1);
}

/** Rest voltage of a battery: points of rising charge and strictly rising voltage. */
export interface RestCurve {
	readonly charge: readonly number[];
	readonly volts: readonly number[];
}

/** Flooded lead-acid at 26.7 °C after hours of rest. BCI table; good to 0.1 V. */
export const FLOODED_LEAD_ACID: RestCurve = {
	charge: [0, 0.25, 0.5, 0.75, 1],
	volts: [11.89, 12.06, 12.24, 12.45, 12.65],
};

/** Absorbed-glass-mat lead-acid: the flooded cell's and 0.2 V more (0.15 to 0.25, handbook). */
export const ABSORBED_LEAD_ACID: RestCurve = {
	charge: FLOODED_LEAD_ACID.charge,
	volts: FLOODED_LEAD_ACID.volts.map((volts) => volts + 0.2),
};

/** Four lithium iron phosphate cells: flat between knees. Invented; common practice, no source. */
export const IRON_PHOSPHATE: RestCurve = {
	charge: [0, 0.05, 0.1, 0.2, 0.4, 0.7, 0.9, 0.98, 1],
	volts: [10.4, 12.0, 12.7, 12.95, 13.1, 13.2, 13.3, 13.36, 13.5],
};

/** Acid density of the flooded cell, kg/L, at the same points. BCI table. */
const ACID_KG_L: readonly number[] = [1.12, 1.155, 1.19, 1.225, 1.265];

/** Rest voltage at a state of charge; straight between the points, clamped at the ends. */
export const restVolts = ({ charge, volts }: RestCurve, share: number): number =>
	along(charge, volts, share);

/** State of charge at a rest voltage: the inverse, clamped to 0 and 1. */
export const chargeAtRest = ({ charge, volts }: RestCurve, restingVolts: number): number =>
	along(volts, charge, restingVolts);

/** Density of the acid in a flooded cell, kg/L, at a state of charge. */
export const acidDensityKgL = (share: number): number =>
	along(FLOODED_LEAD_ACID.charge, ACID_KG_L, share);

function along(xs: readonly number[], ys: readonly number[], x: number): number {
	let below = 0;
	while (below < xs.length - 2 && x > (xs[below + 1] ?? 0)) below += 1;
	const from = xs[below] ?? 0;
	const to = xs[below + 1] ?? from;
	const share = Math.min(1, Math.max(0, (x - from) / (to - from)));
	const low = ys[below] ?? 0;
	return low + share * ((ys[below + 1] ?? low) - low);
}

/** Terminal voltage: rest voltage less what the inside takes. `amps` out of the battery. */
export const terminalVolts = (openVolts: number, insideOhm: number, amps: number): number =>
	openVolts - insideOhm * amps;

/** A charger: steady current up to a voltage, then that voltage with what current it takes. */
export interface Charger {
	readonly ampsMax: number;
	readonly voltsMax: number;
}

/**
 * Current out of the charger, A, never below 0: it takes none back.
 * @param openVolts rest voltage of the battery
 * @param insideOhm its inner resistance, above 0
 * @param loadAmps what the load takes from the same terminals
 */
export function chargerAmps(
	charger: Charger,
	openVolts: number,
	insideOhm: number,
	loadAmps: number,
): number {
	const toReachVolts = (charger.voltsMax - openVolts) / insideOhm + loadAmps;
	return Math.max(0, Math.min(charger.ampsMax, toReachVolts));
}

/** Charge that a steady current moves, Ah. */
export const chargeAh = (amps: number, hours: number): number => amps * hours;

/** Energy of a charge at a steady voltage, Wh. */
export const energyWh = (volts: number, ah: number): number => volts * ah;

/** Hours that the usable share of a capacity gives a steady current, Peukert left aside. */
export const usableHours = (capacityAh: number, usableShare: number, amps: number): number =>
	(usableShare * capacityAh) / amps;

/** Hours in which a flow moves a volume so many times. */
export const turnoverHours = (turnovers: number, litres: number, flowLph: number): number =>
	(turnovers * litres) / flowLph;

/** Charge, A s, under currents measured at rising times: trapezoidal rule. Lists of one length. */
export function measuredChargeAs(timesS: readonly number[], amps: readonly number[]): number {
	let sum = 0;
	for (let i = 1; i < timesS.length; i += 1) {
		const stepS = (timesS[i] ?? 0) - (timesS[i - 1] ?? 0);
		sum += (stepS * ((amps[i] ?? 0) + (amps[i - 1] ?? 0))) / 2;
	}
	return sum;
}
