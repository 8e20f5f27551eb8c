// Stories of what must not be carried over: from the idle rig, which knows no tank, to the order
// that names one; from one order to the next; from a time in which nothing was heard.

import { describe, expect, it } from "vitest";
import { codes, exampleRig, polishing, World } from "./world.ts";

describe("levels", () => {
	it("a wedge that keeps its level does not trip", () => {
		// While idle no tank is named, so that its shape is not known: the order must not inherit that.
		const rig = exampleRig((text) => text.replace("name: port,", "name: port, shape: wedge,"));
		const world = new World(rig);
		world.set({ levelFrom: 0.45, levelTo: 0.45 });
		world.pass(120);
		world.polish({ litres: 5_000 });
		world.passUntil(() => world.name === "polishing", 60);
		world.pass(120);
		expect(codes(world)).toEqual([]);
	});

	it("a tank that was filled between two orders is no wrong tank to the second", () => {
		// At half its depth 2.7 % more of it are 3.4 % of the volume, which only the order tells.
		const rig = exampleRig((text) =>
			text.replace("name: port,", "name: port, shape: horizontal-cylinder,"),
		);
		const world = new World(rig);
		world.set({ levelFrom: 0.5, levelTo: 0.5 });
		world.pass(1);
		for (const level of [0.527, 0.5]) {
			world.polish({ litres: 5_000 });
			world.passUntil(() => world.name === "polishing", 60);
			world.pass(30);
			world.stop();
			world.set({ levelFrom: level, levelTo: level });
			world.pass(300);
		}
		expect(codes(world)).toEqual([]);
	});
});

describe("pulses", () => {
	it("what the meter counted while nothing was heard of it is no siphon", () => {
		const world = polishing();
		world.pass(60);
		const count = world.state.sense.flow.last?.count ?? 0;
		world.facts.silent.add("flow-pulse");
		world.pass(60);
		// 48 mL, of the last second and a half of the run.
		world.facts.odd.set("flow-pulse", count + 20);
		world.facts.silent.delete("flow-pulse");
		world.pass(60);
		expect(codes(world)).toEqual(["sensor-fault"]);
	});
});
