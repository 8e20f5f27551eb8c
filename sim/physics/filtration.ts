// Particle counts and filtration ratios: efficiency of an element by particle size, cleanliness
// codes, counts in a mixed tank that is pumped round through an element. Imports nothing.
// Sources: ISO 16889 (filtration ratio), ISO 4406:2021 Table 1 (codes), mass balance of the tank.

/** Filtration ratio of an element for particles of one size and larger. */
export interface BetaPoint {
	readonly micron: number;
	/** Count before the element over count behind it; 1 = holds nothing back. */
	readonly beta: number;
}

/** Under it a ratio counts as 1: its logarithm would have no end. */
const BETA_EXCESS_MIN = 1e-6;

/** Share of the particles held back; `beta` from 1 up, infinity gives 1. ISO 16889. */
export const efficiencyOfBeta = (beta: number): number => 1 - 1 / beta;

/** Filtration ratio of an efficiency of 0 up to 1; 1 gives infinity. */
export const betaOfEfficiency = (efficiency: number): number => 1 / (1 - efficiency);

/** Particles per mL behind the element, after one pass. ISO 16889. */
export const downstreamPerMl = (upstreamPerMl: number, beta: number): number =>
	upstreamPerMl / beta;

/**
 * Filtration ratio at a particle size: straight in the logarithms of size and of beta - 1, so that
 * it never falls below 1 and rises wherever the points rise. Outside the points it stays at the
 * nearest one: finer particles than the test counted are held back less than this says.
 * @param points tested ratios, rising in size; none = an element that holds nothing back
 * Source of the shape: straight lines on such axes are usual in element data (common practice).
 */
export function betaAt(points: readonly BetaPoint[], micron: number): number {
	let below: BetaPoint | undefined;
	for (const point of points) {
		if (micron <= point.micron)
			return below === undefined ? point.beta : between(below, point, micron);
		below = point;
	}
	return below?.beta ?? 1;
}

function between(low: BetaPoint, high: BetaPoint, micron: number): number {
	const share = Math.log(micron / low.micron) / Math.log(high.micron / low.micron);
	const from = Math.log(Math.max(BETA_EXCESS_MIN, low.beta - 1));
	const to = Math.log(Math.max(BETA_EXCESS_MIN, high.beta - 1));
	return 1 + Math.exp(from + (to - from) * share);
}

/** Share held back of particles of that size. Range and errors: {@link betaAt}. */
export const efficiencyAt = (points: readonly BetaPoint[], micron: number): number =>
	efficiencyOfBeta(betaAt(points, micron));

/**
 * Most particles per mL of each code from 0 up, that number included. The steps are the standard's
 * own: not exact doublings, so no logarithm gives them. ISO 4406:2021, Table 1.
 */
export const ISO_4406_MAX_PER_ML: readonly number[] = [
	0.01, 0.02, 0.04, 0.08, 0.16, 0.32, 0.64, 1.3, 2.5, 5, 10, 20, 40, 80, 160, 320, 640, 1_300,
	2_500, 5_000, 10_000, 20_000, 40_000, 80_000, 160_000, 320_000, 640_000, 1_300_000, 2_500_000,
];

/** What the standard writes above its last bound. */
export const ABOVE_ISO_4406 = ">28";

/** Code of a count, ISO 4406:2021: 0 to 28, or the word for more than that. */
export function isoCode(particlesPerMl: number): number | typeof ABOVE_ISO_4406 {
	const code = ISO_4406_MAX_PER_ML.findIndex((most) => particlesPerMl <= most);
	return code < 0 ? ABOVE_ISO_4406 : code;
}

/**
 * Code as it is written, such as `14/12/10`.
 * @param particlesPerMl counts of particles larger than 4, 6 and 14 µm(c) each
 */
export const isoCodes = (particlesPerMl: readonly number[]): string =>
	particlesPerMl.map(isoCode).join("/");

/** A mixed tank whose content is pumped round through an element. */
export interface MultiPass {
	readonly startPerMl: number;
	readonly volumeLitres: number;
	readonly flowLph: number;
	/** Share held back in one pass, 0 to 1. */
	readonly efficiency: number;
	/** Dirt that enters: the count that one litre an hour of it would bring, times L/h. */
	readonly ingressPerMlLph?: number;
}

/**
 * Particles per mL in the tank after so many hours: dC/dt = (R - efficiency Q C)/V, solved.
 * The tank is mixed ideally and the element stays as it is. Source: mass balance.
 */
export function multiPassPerMl(pass: MultiPass, hours: number): number {
	const { startPerMl, volumeLitres, flowLph, efficiency, ingressPerMlLph = 0 } = pass;
	const removed = (efficiency * flowLph * hours) / volumeLitres;
	const entered = (ingressPerMlLph * hours) / volumeLitres;
	// Limit of (1 - exp(-x))/x at 0: nothing is held back, so that what enters just adds up.
	const kept = removed === 0 ? 1 : -Math.expm1(-removed) / removed;
	return startPerMl * Math.exp(-removed) + entered * kept;
}

/** Particles per mL that the tank tends to; infinity when dirt enters and none is held back. */
export function multiPassSteadyPerMl(pass: MultiPass): number {
	const { flowLph, efficiency, ingressPerMlLph = 0 } = pass;
	return ingressPerMlLph === 0 ? 0 : ingressPerMlLph / (efficiency * flowLph);
}
