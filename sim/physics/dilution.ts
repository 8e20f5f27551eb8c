// What is left of a contaminant while a tank is pumped round through a filter. Imports nothing.
// Mixed and plug-flow vessels after Levenspiel, Chemical Reaction Engineering; the stagnant zone
// after Cholette and Clouthier, Can. J. Chem. Eng. 37 (1959) 105-112, with an exchange flow.

/** Share left in a mixed tank after n turnovers (Q t/V): exp(-eta n). */
export function mixedRemaining(efficiency: number, turnovers: number): number {
	return Math.exp(-efficiency * turnovers);
}

/** Share left when nothing mixes and each turnover meets the filter once: (1 - eta)^n. */
export function plugFlowRemaining(efficiency: number, turnovers: number): number {
	return (1 - efficiency) ** turnovers;
}

/** Turnovers of a mixed tank down to a remaining share: -ln(share)/eta; infinite for eta = 0. */
export function turnoversRequired(remaining: number, efficiency: number): number {
	return -Math.log(remaining) / efficiency;
}

/** A tank whose pumped part trades a small flow with a part that the pump does not reach. */
export interface DeadZone {
	readonly activeM3: number;
	readonly deadM3: number;
	readonly exchangeM3s: number;
	readonly flowM3s: number;
	readonly efficiency: number;
}

export interface Zones {
	readonly active: number;
	readonly dead: number;
	/** Over both volumes. */
	readonly average: number;
}

/**
 * Shares left in both zones after a time, s, when both began at 1. The two linear equations are
 * solved in closed form by the eigenvalues m ± s of their matrix, which are real and not positive.
 */
export function deadZoneRemaining(tank: DeadZone, timeS: number): Zones {
	const { activeM3, deadM3, exchangeM3s, flowM3s, efficiency } = tank;
	const out = (efficiency * flowM3s + exchangeM3s) / activeM3;
	const back = exchangeM3s / activeM3;
	const trade = exchangeM3s / deadM3;
	const m = -(out + trade) / 2;
	const s = Math.sqrt((out - trade) ** 2 + 4 * back * trade) / 2;
	const slow = Math.exp((m + s) * timeS);
	const fast = Math.exp((m - s) * timeS);
	const even = (slow + fast) / 2;
	// sinh(s t)/s, whose limit at s = 0 is t.
	const odd = s > 0 ? (slow - fast) / (2 * s) : timeS * slow;
	const active = even + odd * (back - out - m);
	const dead = even + odd * -m;
	const average = (active * activeM3 + dead * deadM3) / (activeM3 + deadM3);
	return { active, dead, average };
}

/**
 * Concentration of a mixed tank while something comes in at a constant rate, in the unit of
 * `start`: the solution of V dC/dt = R - eta Q C. Volumes, times and flows in one set of units.
 * @param ingress concentration times flow
 */
export function concentrationWithIngress(
	start: number,
	volume: number,
	flow: number,
	efficiency: number,
	ingress: number,
	time: number,
): number {
	if (efficiency * flow === 0) return start + (ingress * time) / volume;
	const steady = steadyConcentration(flow, efficiency, ingress);
	return steady + (start - steady) * mixedRemaining(efficiency, (flow * time) / volume);
}

/** Where that ends: R/(eta Q). */
export function steadyConcentration(flow: number, efficiency: number, ingress: number): number {
	return ingress / (efficiency * flow);
}

/** Mass that the filter has taken from a mixed tank: V C0 (1 - exp(-eta n)); units of V C0. */
export function removedMass(
	volume: number,
	start: number,
	efficiency: number,
	turnovers: number,
): number {
	return volume * start * -Math.expm1(-efficiency * turnovers);
}
