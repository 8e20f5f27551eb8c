// The dead-man's circuit in ngspice, over the corners of its parts and over drawn parts: it closes
// within the time that a start allows, holds through the longest gap that the controller lets pass,
// and opens in time after the last edge, whichever level that one left.

import { uniformInt } from "pure-rand/distribution/uniformInt";
import { xoroshiro128plus } from "pure-rand/generator/xoroshiro128plus";
import { afterAll, describe, expect, it } from "vitest";
import { EDGELESS_MS_MAX } from "../../firmware/sense/quantity.ts";
import { watch } from "./dead-man-bench.ts";
import { type Corner, corners, rising, stretch } from "./dead-man-corners.ts";
import { limits, spreads } from "./dead-man-parts.ts";

const EDGES = 25;
const SEED = 20_260;
const DRAWS = 24;

interface Times {
	/** From the first edge until K2 is in, s. */
	readonly closesS: number;
	/** Moves of K2 between closing and the last edge. */
	readonly movesWithin: number;
	/** From the last edge until K2 has dropped out, s. */
	readonly releaseS: number;
}

function timesOf({ values, celsius, supplyVolts, driveVolts }: Corner, edges: number): Times {
	const { beat, marks, seconds } = stretch(limits.gapS, edges, driveVolts);
	const { moves } = watch({ beat, seconds, values, celsius, supply: rising(supplyVolts) });
	const within = moves.filter(({ atS }) => atS <= marks.last);
	const [closing] = within;
	const opening = moves.find(({ atS, closed }) => atS > marks.last && !closed);
	return {
		closesS: closing?.closed === true ? closing.atS - marks.first : Number.POSITIVE_INFINITY,
		movesWithin: within.length - 1,
		releaseS: opening === undefined ? Number.POSITIVE_INFINITY : opening.atS - marks.last,
	};
}

const seen: Array<Times & { name: string }> = [];

function expectGood(corner: Corner, edges: number): void {
	const times = timesOf(corner, edges);
	seen.push({ ...times, name: corner.name });
	expect(times.closesS, "closes").toBeLessThanOrEqual(limits.closesWithinS);
	expect(times.movesWithin, "holds through the gap").toBe(0);
	expect(times.releaseS, "holds as long as the gap").toBeGreaterThanOrEqual(limits.gapS);
	expect(times.releaseS, "opens").toBeLessThanOrEqual(limits.releaseS);
}

afterAll(() => {
	const row = (shown: (times: Times) => number) =>
		[...seen.map(shown)].sort((a, b) => a - b).map((seconds) => seconds.toFixed(2));
	const release = row(({ releaseS }) => releaseS);
	console.log(
		`dead-man: K2 in at most ${row(({ closesS }) => closesS).at(-1)} s after the first edge, ` +
			`out ${release[0]} to ${release.at(-1)} s after the last (${seen.length} circuits)`,
	);
});

describe("with nominal parts", () => {
	const parts = { name: "nominal", values: {}, celsius: 27, supplyVolts: 12, driveVolts: 5 };

	it.each([EDGES, EDGES + 1])("K2 does what it must, %s edges in a row", (edges) => {
		expectGood(parts, edges);
	});

	it("closes the same with 3.3 V from the pin: the pump's drive is the board's own", () => {
		const [low, high] = [3.3, 5].map((driveVolts) => timesOf({ ...parts, driveVolts }, EDGES));
		expect(Math.abs((low?.releaseS ?? 0) - (high?.releaseS ?? 9))).toBeLessThan(0.01);
	});
});

// Which half of the pump the last edge was for: both combinations of unlike C1 are among the
// corners, so that one parity of edges stands for both.
describe("at the corners of its parts", () => {
	it.each(corners.map((corner) => [corner.name, corner] as const))("%s", (_, corner) => {
		expectGood(corner, EDGES);
	});
});

describe("with drawn parts", () => {
	const dice = xoroshiro128plus(SEED);
	const GRAINS = 1_000_000;
	const between = (low: number, high: number) =>
		low + ((high - low) * uniformInt(dice, 0, GRAINS)) / GRAINS;
	/** Some parts spread over decades: what they let through is drawn evenly. */
	const drawn = (name: string, low: number, high: number) =>
		name === "rleak" ? 1 / between(1 / high, 1 / low) : between(low, high);

	it.each(Array.from({ length: DRAWS }, (_, i) => i))(`draw %s of seed ${SEED}`, (draw) => {
		const celsius = between(-10, 60);
		const values = Object.fromEntries(
			Object.entries(spreads).map(([name, { least, most }]) => [name, drawn(name, least, most)]),
		);
		const supplyVolts = between(10, 15);
		const driveVolts = between(3, 5.25);
		const name = `draw ${draw}`;
		expectGood({ name, values, celsius, supplyVolts, driveVolts }, EDGES + (draw % 2));
	});
});

it("the gap is the longest that the controller lets pass", () => {
	// Two looks of 100 ms on both sides of its limit.
	expect(limits.gapS * 1_000).toBeGreaterThanOrEqual(EDGELESS_MS_MAX + 200);
});
