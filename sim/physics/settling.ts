// How fast a droplet or a grain sinks in fuel, and which droplet an upward flow carries along.
// Imports pipe.ts (types). Stokes (1851); drag of spheres after Barati, Neyshabouri and Ahmadi,
// Powder Technology 257 (2014) 11-19, and after Schiller and Naumann (1933); Hadamard (1911) and
// Rybczynski (1911) for a drop that circulates; Hazen (1904) for the overflow rate.

import type { Liquid } from "./pipe.ts";

const GRAVITY_MS2 = 9.80665;

/** Drag coefficient of a sphere by its Reynolds number. */
export type Drag = (re: number) => number;

/**
 * Speed after Stokes, m/s, downward positive: g d² (rho_p - rho)/(18 mu). Within 1 % below a
 * particle Reynolds number of 0.05, too fast above it.
 */
export function stokesMps(
	diameterM: number,
	particleKgM3: number,
	liquid: Liquid,
	gravityMs2: number = GRAVITY_MS2,
): number {
	const surplus = particleKgM3 - liquid.densityKgM3;
	return (gravityMs2 * diameterM * diameterM * surplus) / (18 * liquid.dynamicPas);
}

/** Reynolds number of a particle by its own diameter. */
export function particleReynolds(diameterM: number, speedMps: number, liquid: Liquid): number {
	return (liquid.densityKgM3 * Math.abs(speedMps) * diameterM) / liquid.dynamicPas;
}

/**
 * Drag of a smooth sphere after Barati and others, up to Re 200 000. Below 0.1, where the published
 * formula leaves the law of Stokes, it goes over to 24/Re in a straight line down to Re 0.01.
 */
export function sphereDrag(re: number): number {
	const stokes = 24 / re;
	if (re < 0.01) return stokes;
	const published =
		5.4856e9 * Math.tanh(4.3774e-9 / re) +
		0.0709 * Math.tanh(700.6574 / re) +
		0.3894 * Math.tanh(74.1539 / re) -
		0.1198 * Math.tanh(7429.0843 / re) +
		1.7174 * Math.tanh(9.9851 / (re + 2.3384)) +
		0.4744;
	if (re > 0.1) return published;
	const share = (re - 0.01) / 0.09;
	return share * published + (1 - share) * stokes;
}

/**
 * Drag of a sphere after Schiller and Naumann: 24/Re (1 + 0.15 Re^0.687), up to Re 800. Between Re
 * 0.1 and 2 it makes a sphere 1 to 3 % slower than `sphereDrag` does; the truth at Re 0.1 (Oseen,
 * 1 + 3/16 Re) lies between the two.
 */
export function schillerNaumannDrag(re: number): number {
	return (24 / re) * (1 + 0.15 * re ** 0.687);
}

/**
 * Speed at which drag carries the weight, m/s, downward positive. The Reynolds number is the root
 * of C(Re) Re² = 4 g d³ rho |rho_p - rho|/(3 mu²), halved in between 0 and that of Stokes, whose
 * drag is the least.
 */
export function terminalMps(
	diameterM: number,
	particleKgM3: number,
	liquid: Liquid,
	drag: Drag = sphereDrag,
	gravityMs2: number = GRAVITY_MS2,
): number {
	const stokes = stokesMps(diameterM, particleKgM3, liquid, gravityMs2);
	const stokesRe = particleReynolds(diameterM, stokes, liquid);
	const wanted = 24 * stokesRe;
	if (drag(stokesRe) * stokesRe * stokesRe <= wanted) return stokes;
	let low = 0;
	let high = stokesRe;
	for (let halving = 0; halving < 200; halving++) {
		const middle = (low + high) / 2;
		if (middle <= low || middle >= high) break;
		if (drag(middle) * middle * middle < wanted) low = middle;
		else high = middle;
	}
	return stokes * (high / stokesRe);
}

/**
 * How many times faster than after Stokes a drop sinks whose surface moves: (3k + 3)/(3k + 2) with
 * k = viscosity inside over outside. An upper bound of 1.5: what wets the surface in real fuel
 * holds it still, and the factor is 1.
 */
export function mobileSurfaceFactor(dropPas: number, liquidPas: number): number {
	const k = dropPas / liquidPas;
	return (3 * k + 3) / (3 * k + 2);
}

/** Time to sink through a depth at a constant speed, s. */
export function settlingTimeS(depthM: number, speedMps: number): number {
	return depthM / speedMps;
}

/** Upward speed of a flow through a plan area, m/s: the overflow rate Q/A. */
export function overflowMps(flowM3s: number, areaM2: number): number {
	return flowM3s / areaM2;
}

/**
 * Smallest diameter, m, that sinks against an upward speed after Stokes. Above a particle Reynolds
 * number of 1 the true one is larger: see `terminalMps`.
 */
export function cutDiameterM(
	upwardMps: number,
	particleKgM3: number,
	liquid: Liquid,
	gravityMs2: number = GRAVITY_MS2,
): number {
	const surplus = particleKgM3 - liquid.densityKgM3;
	return Math.sqrt((18 * liquid.dynamicPas * upwardMps) / (gravityMs2 * surplus));
}

/**
 * What standard tests of water separators ask for: ISO 16332:2018 (scope) and SAE J1488 (overview).
 * Flow in L/h, interfacial tension in mN/m, as they state them.
 */
export const SEPARATOR_TESTS = {
	iso16332RatedFlowLph: [50, 1500],
	suctionSideDroplets: "coarse",
	pressureSideDroplets: "fine",
	saeJ1488InterfacialTensionMnM: [16, 18],
	saeJ1488TemperatureC: 26.6,
} as const;
