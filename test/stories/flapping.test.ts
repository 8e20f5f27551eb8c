// A flapping input still ends in a stop: bad for more than a sixth of the time, in whatever rhythm.
// What says nothing holds the count; what is impossible is unknown.

import { describe, expect, it } from "vitest";
import { polishing, type World } from "./world.ts";

interface Rhythm {
	readonly what: string;
	readonly bad: (world: World) => void;
	readonly badS: number;
	readonly good: (world: World) => void;
	readonly goodS: number;
	readonly withinS: number;
	readonly code: string;
}

const dry = (world: World) => {
	world.facts.silent.clear();
	world.set({ probeOhm: Number.POSITIVE_INFINITY, flowLph: 95 });
};
const wet = (world: World) => {
	world.facts.silent.clear();
	world.set({ probeOhm: 20_000 });
};
const silence = (name: string) => (world: World) => {
	world.facts.silent.add(name);
};
const noFlow = (world: World) => world.set({ flowLph: 0 });
/** Current and vacuum go with the flow. */
const air = (world: World) => world.set({ flowLph: 0, motorAmps: 1.45, pumpingKpa: 4 });
const fuel = (world: World) => world.set({ flowLph: 95, motorAmps: 1.7, pumpingKpa: 14 });

const rhythms: Rhythm[] = [
	{
		what: "wet 0.2 s, dry 0.1 s",
		bad: wet,
		badS: 0.2,
		good: dry,
		goodS: 0.1,
		withinS: 1,
		code: "water-in-bowl",
	},
	{
		what: "wet 0.2 s, silent 0.1 s",
		bad: wet,
		badS: 0.2,
		good: silence("bowl-probe"),
		goodS: 0.1,
		withinS: 1.5,
		code: "water-in-bowl",
	},
	{
		what: "probe silent 0.9 s, back 0.1 s",
		bad: silence("bowl-probe"),
		badS: 0.9,
		good: dry,
		goodS: 0.1,
		withinS: 3,
		code: "sensor-fault",
	},
	{
		what: "stop loop silent 0.9 s, back 0.1 s",
		bad: silence("stop-loop"),
		badS: 0.9,
		good: dry,
		goodS: 0.1,
		withinS: 3,
		code: "sensor-fault",
	},
	{
		what: "air 3.5 s, fuel 1 s",
		bad: air,
		badS: 3.5,
		good: fuel,
		goodS: 1,
		withinS: 12,
		code: "dry-run",
	},
];

describe("flapping", () => {
	it.each(rhythms)("$what", ({ bad, badS, good, goodS, withinS, code }) => {
		const world = polishing();
		// What fuel gives is known by then.
		world.pass(10);
		const endMs = world.nowMs + withinS * 1000;
		while (world.name === "polishing" && world.nowMs < endMs) {
			bad(world);
			world.pass(badS);
			good(world);
			world.pass(goodS);
		}
		expect(world.of("trip").map((trip) => trip.code)).toEqual([code]);
	});

	it("a gulp of half a second in every six is a rolling boat, not a dry tank", () => {
		const world = polishing();
		for (let roll = 0; roll < 100; roll += 1) {
			noFlow(world);
			world.pass(0.5);
			dry(world);
			world.pass(5.5);
		}
		expect(world.name).toBe("polishing");
	});

	it.each([1, 2, 3])("gulps of %s s that add up hold it before 30 s dry in 5 min", (gulpS) => {
		const world = polishing();
		let dryS = 0;
		while (world.name === "polishing" && dryS < 60) {
			noFlow(world);
			for (let tick = 0; tick < gulpS * 10 && world.name === "polishing"; tick += 1) {
				world.tick(100);
				dryS += 0.1;
			}
			dry(world);
			world.pass(6 * gulpS);
		}
		expect(world.name).toBe("held");
		expect(world.of("held").map(({ causes }) => causes)).toEqual([["too-low-for-this-sea"]]);
		expect(dryS).toBeGreaterThan(gulpS);
		expect(dryS).toBeLessThanOrEqual(30);
	});

	it("dry seconds of more than five minutes ago are forgiven", () => {
		const world = polishing();
		for (let n = 0; n < 4; n += 1) {
			for (let gulp = 0; gulp < 6; gulp += 1) {
				noFlow(world);
				world.pass(2);
				dry(world);
				world.pass(14);
			}
			world.pass(320);
		}
		expect(world.name).toBe("polishing");
	});
});

describe("readings that cannot be", () => {
	it.each([Number.NaN, Number.POSITIVE_INFINITY, -5])("probe %s is unknown, not dry", (raw) => {
		const world = polishing();
		world.facts.odd.set("bowl-probe", raw);
		world.passUntil(() => world.name === "tripped", 3);
		expect(world.of("trip")[0]?.code).toBe("sensor-fault");
	});

	it("a meter that leaps counts nothing and ends no order", () => {
		const world = polishing();
		const { pulses } = world.state.totals.run;
		world.facts.odd.set("flow-pulse", 1_000_000);
		world.tick(100);
		expect(world.state.totals.run.pulses).toBe(pulses);
		expect(world.name).toBe("polishing");
	});

	it("litres are not lost while the meter misses a report now and then", () => {
		const world = polishing();
		const from = world.state.totals.run.pulses;
		for (let n = 0; n < 60; n += 1) {
			world.facts.silent.add("flow-pulse");
			world.pass(0.1);
			world.facts.silent.clear();
			world.pass(0.9);
		}
		// 95 L/h at 420 pulses/L for a minute.
		expect((world.state.totals.run.pulses - from) / ((95 / 60) * 420)).toBeCloseTo(1, 2);
	});
});
