// One long step decides what many short ones would: delays fire deadline by deadline, edges carry
// the time at which they were due. And the whole state survives JSON at any tick.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { advance, type CycleState, cycleAtBoot, type Told } from "../../firmware/cycle/advance.ts";
import type { CycleEvent } from "../../firmware/cycle/events.ts";
import { createStatechart } from "../../firmware/cycle/statechart.ts";
import { plainOrder as order, wellPresent as present } from "../stories/well.ts";
import { exampleRig, World } from "../stories/world.ts";

const SEED = 20_261_125;
const rig = exampleRig((text) =>
	text.replace("setpoints: {}", "setpoints: { timeLimitMinutes: 90 }"),
);
const chart = createStatechart(rig);

const edge = fc.constantFrom<(atMs: number) => CycleEvent>(
	(atMs) => ({ type: "order", atMs, order, present }),
	(atMs) => ({ type: "start-durable", atMs, present }),
	(atMs) => ({ type: "acknowledge", id: "p", atMs, from: "box", pressedMs: atMs, present }),
	(atMs) => ({ type: "flow-established", atMs }),
	(atMs) => ({ type: "flow-lost", atMs }),
	(atMs) => ({ type: "alarm", atMs, code: "water-in-bowl" }),
	(atMs) => ({ type: "trouble", atMs, code: "restriction-high" }),
	(atMs) => ({ type: "holds", atMs, causes: ["cold"] }),
	(atMs) => ({ type: "holds", atMs, causes: [] }),
	(atMs) => ({ type: "water-gone", atMs }),
	(atMs) => ({ type: "stray-current", atMs }),
	(atMs) => ({ type: "stop", atMs, by: "p" }),
	(atMs) => ({ type: "goal-reached", atMs }),
);
// Whole ticks: what falls between two ticks is decided at the next one.
const waits = fc.oneof(fc.integer({ min: 1, max: 50 }), fc.integer({ min: 1, max: 60_000 }));
const history = fc.array(fc.record({ ticks: waits, edge }), { minLength: 10, maxLength: 30 });

/** An order that is under way, so that most histories reach the working states. */
function begun(): CycleState {
	const first: CycleEvent[] = [
		{ type: "order", atMs: 0, order, present },
		{ type: "start-durable", atMs: 0, present },
	];
	return advance(chart, cycleAtBoot, first, 0).cycle;
}

function play(
	steps: Array<{ ticks: number; edge: (atMs: number) => CycleEvent }>,
	ticked: boolean,
) {
	let cycle = begun();
	const told: Told[] = [];
	let nowMs = 0;
	const to = (atMs: number, events: CycleEvent[]) => {
		const moved = advance(chart, cycle, events, atMs);
		cycle = moved.cycle;
		told.push(...moved.told);
	};
	for (const step of steps) {
		const endMs = nowMs + step.ticks * 100;
		if (ticked) for (let atMs = nowMs + 100; atMs < endMs; atMs += 100) to(atMs, []);
		to(endMs, [step.edge(endMs)]);
		nowMs = endMs;
	}
	return { cycle, told };
}

describe("a leap equals small ticks", () => {
	it("in the statechart, whatever happens in between", () => {
		let reached = 0;
		fc.assert(
			fc.property(history, (steps) => {
				const leapt = play(steps, false);
				expect(leapt).toEqual(play(steps, true));
				reached += leapt.told.filter(({ effect }) => effect.type === "state").length;
			}),
			{ seed: SEED, numRuns: 60 },
		);
		// The histories go somewhere: on average every one changes state more than twice.
		expect(reached).toBeGreaterThan(120);
	});

	it("through chained delays without any edge: horn, proofs, three primes and the trip", () => {
		const leapt = advance(chart, begun(), [], 3_600_000);
		let cycle = begun();
		const told: Told[] = [];
		for (let atMs = 100; atMs <= 3_600_000; atMs += 100) {
			const moved = advance(chart, cycle, [], atMs);
			cycle = moved.cycle;
			told.push(...moved.told);
		}
		expect(leapt).toEqual({ cycle, told });
		expect(cycle.context.trips[0]?.code).toBe("prime-failed");
	});

	it("in the whole controller while the motor is off", () => {
		const fact = fc.constantFrom<(world: World) => void>(
			// Not the probe: it is read two ways in turn, and a leap is one reading.
			(world) => world.set({ trayWet: !world.facts.trayWet }),
			(world) => world.set({ stopPressed: !world.facts.stopPressed }),
			(world) => world.set({ strayAmps: world.facts.strayAmps === 0 ? 1 : 0 }),
			({ facts }) => facts.silent.add("tray"),
			({ facts }) => facts.silent.clear(),
		);
		const steps = fc.array(fc.record({ fact, ticks: fc.integer({ min: 1, max: 300 }) }), {
			maxLength: 12,
		});
		fc.assert(
			fc.property(steps, (list) => {
				const leaping = new World(rig);
				const ticking = new World(rig);
				for (const { fact: happens, ticks } of list) {
					for (const world of [leaping, ticking]) {
						happens(world);
						world.tick(100);
					}
					leaping.tick(ticks * 100);
					for (let i = 0; i < ticks; i += 1) ticking.tick(100);
				}
				expect(leaping.state.cycle).toEqual(ticking.state.cycle);
			}),
			{ seed: SEED, numRuns: 100 },
		);
	});
});

describe("the state is plain JSON", () => {
	it("holds nothing that JSON would lose, at any tick of a run with a trip in it", () => {
		const world = new World(rig);
		const facts: Array<[number, () => void]> = [
			[10, () => world.polish()],
			[600, () => world.set({ probeOhm: 20_000 })],
			[650, () => world.set({ probeOhm: Number.POSITIVE_INFINITY })],
			[750, () => world.set({ buttonPressed: true })],
			[755, () => world.set({ buttonPressed: false })],
		];
		for (let tick = 0; tick < 1_500; tick += 1) {
			for (const [at, happens] of facts) if (at === tick) happens();
			world.tick(100);
			expect(JSON.parse(JSON.stringify(world.state))).toStrictEqual(world.state);
		}
		expect(world.name).toBe("polishing");
		expect(world.of("cleared").length).toBe(1);
	});
});
