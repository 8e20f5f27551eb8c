// Resting by the motor's heat as well as by the clock. Through the real controller, with a time
// variable.

import { expect, it } from "vitest";
import { codes, polishing, World } from "./world.ts";

it("a warm case rests the pump, and it goes on by itself 10 K cooler", () => {
	const world = polishing();
	world.pass(1_300);
	world.set({ caseC: 71 });
	world.passUntil(() => world.name === "resting", 20);
	expect(world.pumpDemanded).toBe(false);
	world.set({ caseC: 61 });
	world.pass(3_000);
	expect(world.name).toBe("resting");
	world.set({ caseC: 59 });
	world.passUntil(() => world.name === "polishing", 60);
	expect(codes(world)).toEqual([]);
});

it("a case that cools before the clock's rest is over waits for the clock", () => {
	const world = new World();
	world.pass(1);
	world.polish({ litres: 200 });
	// To the end of its rating: 40 min, and 20 of rest.
	world.passUntil(() => world.name === "resting", 2_460);
	world.set({ caseC: 72 });
	world.pass(60);
	world.set({ caseC: 40 });
	world.pass(1_100);
	expect(world.name).toBe("resting");
	world.passUntil(() => world.name === "polishing", 120);
});

it("a motor that is warm at the start rests first", () => {
	const world = polishing();
	world.stop();
	world.pass(1);
	world.set({ caseC: 75 });
	world.pass(10);
	world.polish();
	world.passUntil(() => world.name === "resting", 5);
	world.pass(900);
	expect(world.name).toBe("resting");
	world.set({ caseC: 40 });
	world.passUntil(() => world.name === "polishing", 60);
});

it("one that is still warm an hour into its rest trips", () => {
	const world = polishing();
	world.pass(1_300);
	world.set({ caseC: 75 });
	world.passUntil(() => world.name === "resting", 20);
	world.pass(3_590);
	expect(world.name).toBe("resting");
	world.passUntil(() => world.name === "tripped", 20);
	expect(codes(world)).toEqual(["motor-hot"]);
});

it("one that is warm early, again and again, is not cooled: the fourth time trips", () => {
	const world = polishing();
	for (let i = 0; i < 3; i += 1) {
		world.pass(60);
		world.set({ caseC: 75 });
		world.passUntil(() => world.name === "resting", 20);
		world.set({ caseC: 50 });
		world.passUntil(() => world.name === "polishing", 60);
	}
	world.set({ caseC: 75 });
	world.passUntil(() => world.name === "tripped", 20);
	expect(codes(world)).toEqual(["motor-hot"]);
});

it("without a reading the clock alone counts", () => {
	const world = polishing();
	world.stop();
	world.pass(1);
	world.set({ caseC: 75 });
	world.pass(10);
	world.facts.silent.add("case-temperature");
	world.pass(20);
	world.polish({ attended: true });
	world.passUntil(() => world.name === "polishing", 60);
});
