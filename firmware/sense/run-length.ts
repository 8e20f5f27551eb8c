// Mean number of values until a chart signals: what a limit costs in false stops, and how fast it
// sees a shift. Imports normal.ts and the charts' plans. Independent normal values of known spread.
// Method: the integral equation of the run length on Gauss-Legendre nodes (Nyström), as in Crowder
// (1987) for the EWMA and Goel and Wu (1971) for the CUSUM.

import type { CusumPlan, EwmaPlan } from "./control-chart.ts";
import { ewmaLimit } from "./control-chart.ts";
import { normalDensity, normalShare } from "./normal.ts";

/** Nodes for each standard deviation of the kernel: with the base the error is under 1e-8. */
const NODES_PER_DEVIATION = 5;
const NODES_BASE = 24;

const nodesFor = (deviations: number): number =>
	NODES_BASE + Math.ceil(NODES_PER_DEVIATION * deviations);

/**
 * Mean run length of a one-sided CUSUM that watches for values above the target.
 * @param shift of the mean, standard deviations, away from 0 both ways
 * @param start of the sum, 0 up to the limit
 */
export function cusumOneSided({ slack, limit }: CusumPlan, shift: number, start = 0): number {
	const drift = shift - slack;
	const { nodes, weights } = gaussLegendre(nodesFor(limit), 0, limit);
	// Unknown 0 is the run length from a sum of 0, where the sum has a mass of its own.
	const from = [0, ...nodes];
	const rows = from.map((sum, i) => {
		const row = from.map((to, j) => {
			const moves =
				j === 0
					? normalShare(-sum - drift)
					: (weights[j - 1] ?? 0) * normalDensity(to - sum - drift);
			return (i === j ? 1 : 0) - moves;
		});
		return [...row, 1];
	});
	const lengths = solve(rows);
	const atNodes = nodes.reduce(
		(total, to, j) =>
			total + (weights[j] ?? 0) * normalDensity(to - start - drift) * (lengths[j + 1] ?? 0),
		0,
	);
	return 1 + (lengths[0] ?? 0) * normalShare(-start - drift) + atNodes;
}

/**
 * Mean run length of the two-sided CUSUM. With a head start the sides are joined after Lucas and
 * Crosier (1982), meant for a head start of up to half the limit.
 */
export function cusumTwoSided(plan: CusumPlan, shift: number): number {
	const { headStart = 0 } = plan;
	const up = cusumOneSided(plan, shift);
	const down = cusumOneSided(plan, -shift);
	if (headStart === 0) return 1 / (1 / up + 1 / down);
	const upAhead = cusumOneSided(plan, shift, headStart);
	const downAhead = cusumOneSided(plan, -shift, headStart);
	return (upAhead * down + downAhead * up - up * down) / (up + down);
}

/** Mean run length of the two-sided EWMA from the target on, with its lasting limits. */
export function ewmaTwoSided(plan: EwmaPlan, shift: number): number {
	const { weight } = plan;
	const limit = ewmaLimit(plan);
	const { nodes, weights } = gaussLegendre(nodesFor((2 * limit) / weight), -limit, limit);
	const moves = (from: number, j: number) => {
		const value = ((nodes[j] ?? 0) - (1 - weight) * from) / weight;
		return ((weights[j] ?? 0) / weight) * normalDensity(value - shift);
	};
	const rows = nodes.map((from, i) => [
		...nodes.map((_, j) => (i === j ? 1 : 0) - moves(from, j)),
		1,
	]);
	return solve(rows).reduce((total, length, j) => total + moves(0, j) * length, 1);
}

/**
 * One-sided CUSUM by Siegmund's approximation (1985): within 1 % of the exact length at a slack of
 * half a deviation and a limit of 5, worse for lower limits.
 */
export function siegmundOneSided({ slack, limit }: CusumPlan, shift: number): number {
	const drift = shift - slack;
	const reach = limit + 1.166;
	if (Math.abs(drift) < 1e-6) return reach ** 2;
	const product = drift * reach;
	return (Math.expm1(-2 * product) + 2 * product) / (2 * drift ** 2);
}

/** Both sides of {@link siegmundOneSided}. */
export const siegmundTwoSided = (plan: CusumPlan, shift: number): number =>
	1 / (1 / siegmundOneSided(plan, shift) + 1 / siegmundOneSided(plan, -shift));

/** Limits on single values, `width` deviations on both sides (Shewhart): one over the share out. */
export const shewhartTwoSided = (width: number, shift: number): number =>
	1 / (normalShare(-width - shift) + normalShare(-width + shift));

/** Nodes and weights of Gauss and Legendre on an interval: roots of P_n by Newton's method. */
function gaussLegendre(count: number, from: number, to: number) {
	const half = (to - from) / 2;
	const nodes: number[] = [];
	const weights: number[] = [];
	for (let i = 0; i < count; i += 1) {
		// Start within 1e-3 of the root (Abramowitz and Stegun 22.16.6); five steps are ample.
		let x = -Math.cos((Math.PI * (i + 0.75)) / (count + 0.5));
		let slope = 1;
		for (let pass = 0; pass < 6; pass += 1) {
			let before = 1;
			let now = x;
			for (let n = 2; n <= count; n += 1) {
				const next = ((2 * n - 1) * x * now - (n - 1) * before) / n;
				before = now;
				now = next;
			}
			slope = (count * (x * now - before)) / (x * x - 1);
			x -= now / slope;
		}
		nodes.push(from + half * (1 + x));
		weights.push((2 * half) / ((1 - x * x) * slope * slope));
	}
	return { nodes, weights };
}

/** Solves linear equations, right-hand side last in each row: elimination, pivots by size. */
function solve(rows: number[][]): number[] {
	const count = rows.length;
	for (let k = 0; k < count; k += 1) {
		const size = (i: number) => Math.abs(rows[i]?.[k] ?? 0);
		let best = k;
		for (let i = k + 1; i < count; i += 1) if (size(i) > size(best)) best = i;
		const pivot = rows[best] ?? [];
		rows[best] = rows[k] ?? [];
		rows[k] = pivot;
		for (let i = k + 1; i < count; i += 1) {
			const row = rows[i] ?? [];
			const share = (row[k] ?? 0) / (pivot[k] ?? 0);
			for (let j = k; j <= count; j += 1) row[j] = (row[j] ?? 0) - share * (pivot[j] ?? 0);
		}
	}
	const found = new Array<number>(count).fill(0);
	for (let k = count - 1; k >= 0; k -= 1) {
		const row = rows[k] ?? [];
		const known = found.reduce((sum, value, j) => (j > k ? sum + value * (row[j] ?? 0) : sum), 0);
		found[k] = ((row[count] ?? 0) - known) / (row[k] ?? 0);
	}
	return found;
}
