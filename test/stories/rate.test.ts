// A reading that changes faster than its thing can move is not believed: one step costs one
// reading, a reading that goes on jumping stops what nobody attends.

import { describe, expect, it } from "vitest";
import { LEVEL_RATE, limitRate, TEMPERATURE_RATE } from "../../firmware/sense/rate.ts";
import { codes, polishing, type World } from "./world.ts";

const at = (last: number | null) => ({ last, doubtMs: 0, value: "stale" as const });

describe("a rate", () => {
	it.each([
		["a level within it", LEVEL_RATE, 0.5, 0.654, 0.654],
		["a level past it", LEVEL_RATE, 0.5, 0.656, "jumps"],
		["a falling level past it", LEVEL_RATE, 0.5, 0.344, "jumps"],
		["a temperature within it", TEMPERATURE_RATE, 15, 17.9, 17.9],
		["a temperature past it", TEMPERATURE_RATE, 15, 18.1, "jumps"],
	] as const)("%s, in half a second", (_, limit, last, now, expected) => {
		expect(limitRate(at(last), now, 500, limit).value).toBe(expected);
	});

	it("says nothing of the first reading, nor of one after a silence", () => {
		expect(limitRate(at(null), 0.9, 500, LEVEL_RATE).value).toBe(0.9);
	});

	it("leaves what is unknown as it is", () => {
		expect(limitRate(at(0.5), "open", 500, LEVEL_RATE).value).toBe("open");
	});

	it("of a level is in doubt for four seconds after a jump, of a temperature for no longer", () => {
		let level = limitRate(at(0.3), 0.6, 500, LEVEL_RATE);
		const levels = Array.from({ length: 8 }, () => {
			level = limitRate(level, 0.6, 500, LEVEL_RATE);
			return level.value;
		});
		expect(levels).toEqual([...Array(7).fill("jumps"), 0.6]);
		const jumped = limitRate(at(15), 25, 500, TEMPERATURE_RATE);
		expect(limitRate(jumped, 25, 500, TEMPERATURE_RATE).value).toBe(25);
	});
});

describe("aboard", () => {
	it("one step of the fuel's temperature stops nothing", () => {
		const world = polishing();
		world.facts.fuelC = 25;
		world.pass(30);
		expect(codes(world)).toEqual([]);
		expect(world.state.sense.slow.sensed.fuelC).toBeCloseTo(25, 0);
	});

	it.each<[string, (world: World, up: boolean) => void]>([
		["level-from", (world, up) => world.set({ levelFrom: up ? 0.8 : 0.45 })],
		["level-to", (world, up) => world.set({ levelTo: up ? 0.8 : 0.45 })],
		["fuel-temperature", (world, up) => world.set({ fuelC: up ? 25 : 8 })],
		["case-temperature", (world, up) => world.set({ caseC: up ? 60 : 40 })],
	])("%s that jumps to and fro stops what nobody attends", (sensor, jump) => {
		const world = polishing();
		for (let i = 0; i < 20 && world.name === "polishing"; i += 1) {
			jump(world, i % 2 === 0);
			world.pass(0.5);
		}
		expect(codes(world)).toEqual(["sensor-fault"]);
		expect(world.of("trip")[0]?.cause).toBe(`${sensor} reads jumps`);
	});

	it("but not what somebody attends", () => {
		const world = polishing();
		world.stop();
		world.pass(1);
		world.polish({ attended: true });
		world.passUntil(() => world.name === "polishing", 60);
		for (let i = 0; i < 20; i += 1) {
			world.set({ fuelC: i % 2 === 0 ? 25 : 8 });
			world.pass(0.5);
		}
		expect(codes(world)).toEqual([]);
	});
});
