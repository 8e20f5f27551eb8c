// Whatever a client of the link sends: commissioning alone never makes the pump go. At rest neither
// K1 nor the beat stirs; nobody may leave the rig alone who has not stood at its box; and from any
// tick the state, as JSON, decides the same.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { parts } from "../../firmware/commission/parts.ts";
import { steps } from "../../firmware/commission/step-rows.ts";
import { createController } from "../../firmware/controller.ts";
import type { Command } from "../../firmware/cycle/commands.ts";
import { exampleRig, pins, World } from "../stories/world.ts";

const SEED = 20_261_129;
const RUNS = 60;
const AT_UTC_MS = Date.UTC(2026, 10, 29, 10);

const id = fc.nat(40).map((n) => `c${n}`);
const by = fc.constantFrom("JM", "x");
const value = fc.oneof(
	fc.integer({ min: 0, max: 14 }),
	fc.double({ noNaN: true, min: -10, max: 1e6 }),
	fc.constantFrom("Teal Willow", "0", ""),
);
const names = ["label", "lampsAlone", "lamp-pump", "lamp-trip", "horn", "meterVolts", "airHpa"];
const values = fc.dictionary(fc.constantFrom(...names), value, { maxKeys: 3 });

/** All that a client may send of commissioning. */
const command: fc.Arbitrary<Command> = fc.oneof(
	{
		weight: 4,
		arbitrary: fc.record({
			type: fc.constant("prove-begin"),
			id,
			step: fc.constantFrom(...steps),
			by,
		}),
	},
	{ weight: 3, arbitrary: fc.record({ type: fc.constant("prove-answer"), id, values }) },
	fc.record({ type: fc.constant("prove-end"), id }),
	fc.record({ type: fc.constant("change-part"), id, part: fc.constantFrom(...parts), by }),
	fc.record({
		type: fc.constant("strike-fill"),
		id,
		fillSeq: fc.integer({ min: 1, max: 400 }),
		why: by,
	}),
	fc.record({ type: fc.constant("stop"), id }),
	fc.record({ type: fc.constant("acknowledge"), id }),
) as fc.Arbitrary<Command>;

const seldom = fc.nat(11).map((n) => n === 0);

/** What happens in one stretch: something said, something done at the box, time. */
const act = fc.record({
	said: fc.array(command, { maxLength: 3 }),
	press: fc.boolean(),
	trayWet: seldom,
	stopPressed: seldom,
	probeOhm: seldom.map((isWet) => (isWet ? 20_000 : Number.POSITIVE_INFINITY)),
	ticks: fc.integer({ min: 1, max: 60 }),
});

const rig = exampleRig();

function begun(): World {
	const world = new World(rig);
	world.set({ commissioned: false, armed: "by-button" });
	const clock = { utcMs: AT_UTC_MS, offsetMinutes: 0, uncertaintyMs: 1_000 };
	world.give({ type: "set-clock", id: "clock", clock });
	world.pass(1);
	return world;
}

type Act = typeof act extends fc.Arbitrary<infer A> ? A : never;

function play(world: World, { said, press, ticks, ...facts }: Act, presses = press): void {
	for (const one of said) world.give(one);
	world.set(facts);
	if (presses) world.pressAcknowledge();
	world.pass(ticks / 10);
}

describe("commissioning over the link", () => {
	it(`never stirs K1 or the beat at rest (seed ${SEED})`, () => {
		let begunSteps = 0;
		fc.assert(
			fc.property(fc.array(act, { minLength: 5, maxLength: 30 }), (acts) => {
				const world = begun();
				for (const one of acts) play(world, one);
				const stirred = world.history.filter((o) => o["pump-demand"] || o["dead-man-beat"]);
				expect(stirred).toEqual([]);
				begunSteps += world.of("proof-begun").length;
			}),
			{ seed: SEED, numRuns: RUNS },
		);
		expect(begunSteps).toBeGreaterThan(RUNS);
	});

	it(`proves nothing without a hand at the box, but for what is only told (seed ${SEED})`, () => {
		fc.assert(
			fc.property(fc.array(act, { minLength: 5, maxLength: 30 }), (acts) => {
				const world = begun();
				for (const one of acts) play(world, one, false);
				const passed = world.of("proof").filter((proof) => proof.passed);
				for (const { step } of passed)
					expect(["identity", "run-timer", "leak-test"]).toContain(step);
				expect(world.state.commission.isProven).toBe(false);
			}),
			{ seed: SEED, numRuns: RUNS },
		);
	});

	it(`is decided alike from its state as JSON at any tick (seed ${SEED})`, () => {
		const controller = createController(rig, pins);
		fc.assert(
			fc.property(fc.array(act, { minLength: 5, maxLength: 20 }), (acts) => {
				const world = new World(rig, {
					boot: controller.boot,
					tick: (before, inputs) => {
						const text = JSON.stringify(before);
						const result = controller.tick(before, inputs);
						expect(JSON.stringify(before)).toBe(text);
						const again = controller.tick(JSON.parse(text), inputs);
						expect(again).toEqual(JSON.parse(JSON.stringify(result)));
						return result;
					},
				});
				world.set({ commissioned: false });
				world.setClock("2026-11-29T10:00");
				world.pass(0.2);
				for (const one of acts) play(world, { ...one, ticks: Math.min(one.ticks, 20) });
			}),
			{ seed: SEED, numRuns: 12 },
		);
	});
});
