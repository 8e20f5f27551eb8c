// Sweeping: bursts by the bowl's volumes, stands, and what ends them. Cause and outcome through the
// real controller, with a time variable.

import { describe, expect, it } from "vitest";
import { sweepGap, sweepPlan } from "../../firmware/cycle/sweep-plan.ts";
import { accountLines } from "../../host/report/account.ts";
import { codes, exampleRig, World } from "./world.ts";

/** Half of the 320 mL between the example bowl's probe and its carry-over. */
const BURST_ML = 160;

function sweeping(): World {
	const world = new World();
	world.pass(1);
	world.sweep();
	world.passUntil(() => world.name === "polishing", 60);
	return world;
}

const bursts = (world: World) => world.of("burst").map(({ dryBursts }) => dryBursts);

/** What the meter counted between two moments, mL. */
const movedMl = (world: World) =>
	(1000 * world.state.totals.run.pulses) / world.rig.meter.pulsesPerLitre;

describe("a sweep", () => {
	it("moves no more in a burst than half of what lies over the probe, a tick's flow apart", () => {
		const world = sweeping();
		world.passUntil(() => world.name === "standing", 20);
		const tickMl = (95 / 3600) * 100;
		expect(movedMl(world)).toBeGreaterThanOrEqual(BURST_ML);
		expect(movedMl(world)).toBeLessThan(BURST_ML + 2 * tickMl);
		expect(world.pumpDemanded).toBe(false);
	});

	it("stands for 20 s, and warns and proves before the next burst", () => {
		const world = sweeping();
		world.passUntil(() => world.name === "standing", 20);
		world.pass(19.8);
		expect(world.name).toBe("standing");
		const before = world.history.length;
		world.passUntil(() => world.name === "polishing", 60);
		const since = world.history.slice(before);
		expect(since.filter((outputs) => outputs.horn).length).toBeGreaterThanOrEqual(100);
		expect(world.of("start").map(({ reason }) => reason)).toEqual(["ordered", "stood"]);
	});

	it("is finished when line and bowl can hide no more water, one burst more", () => {
		const world = sweeping();
		// 178 mL of line are 2 bursts, 220 mL of sump are 2 more.
		world.passUntil(() => world.of("run-end").length > 0, 600);
		expect(bursts(world)).toEqual([1, 2, 3, 4, 5]);
		expect(world.of("run-end")[0]?.outcome).toBe("finished");
		expect(world.name).toBe("idle");
	});

	it("ends by as many bursts as were ordered, and stands as long", () => {
		const world = new World();
		world.pass(1);
		world.sweep({ dryBursts: 6, standSeconds: 300 });
		world.passUntil(() => world.name === "standing", 60);
		world.pass(299);
		expect(world.name).toBe("standing");
		world.passUntil(() => world.of("run-end").length > 0, 2_400);
		expect(bursts(world)).toEqual([1, 2, 3, 4, 5, 6]);
	});

	it("begins its count anew after water, once the bowl is drained", () => {
		const world = sweeping();
		world.passUntil(() => world.of("burst").length === 3, 300);
		world.passUntil(() => world.name === "polishing", 60);
		world.set({ probeOhm: 20_000 });
		world.pass(1);
		expect(codes(world)).toEqual(["water-in-bowl"]);
		world.set({ probeOhm: Number.POSITIVE_INFINITY });
		world.pass(5);
		world.pressAcknowledge();
		world.passUntil(() => world.of("run-end").length > 0, 600);
		expect(bursts(world)).toEqual([1, 2, 3, 1, 2, 3, 4, 5]);
	});

	it("trips for water that comes to the probe while it stands", () => {
		const world = sweeping();
		world.passUntil(() => world.name === "standing", 20);
		world.pass(5);
		world.set({ probeOhm: 20_000 });
		world.pass(1);
		expect(world.name).toBe("tripped");
		expect(codes(world)).toEqual(["water-in-bowl"]);
	});

	it("counts no burst that moved air", () => {
		const world = sweeping();
		world.passUntil(() => world.of("burst").length === 1, 60);
		world.set({ flowLph: 0 });
		world.passUntil(() => world.name === "tripped", 900);
		expect(codes(world)).toEqual(["prime-failed"]);
		expect(bursts(world)).toEqual([1]);
	});

	it("tells of a burst that moved air that it is not counted", () => {
		const world = sweeping();
		world.passUntil(() => world.of("burst").length === 1, 60);
		world.set({ flowLph: 30 });
		world.passUntil(() => world.of("burst").length === 2, 200);
		expect(bursts(world)).toEqual([1, 1]);
		const told = accountLines(world.records, world.rig.meter.pulsesPerLitre);
		const lines = told.map(({ what }) => what).filter((what) => what.includes("urst "));
		expect(lines).toEqual([
			"Burst done, standing.",
			"Burst 1 of 5: no water at the probe.",
			"A burst that is not counted.",
		]);
	});

	it("waits out a hold in its stand", () => {
		const world = sweeping();
		world.passUntil(() => world.name === "standing", 20);
		world.set({ fuelC: 0 });
		world.passUntil(() => world.name === "held", 60);
		world.set({ fuelC: 10 });
		world.passUntil(() => world.of("run-end").length > 0, 3_000);
		expect(world.of("run-end")[0]?.outcome).toBe("finished");
	});

	it("is refused where the bowl is too small for a burst that proves fuel", () => {
		const world = new World(
			exampleRig((text) => text.replace("probeToCarryoverMl: 320", "probeToCarryoverMl: 200")),
		);
		world.pass(1);
		world.sweep();
		world.pass(1);
		expect(world.of("order-refused")[0]?.reasons[0]).toMatch(/bowl is too small to sweep/);
	});

	it("is refused with fewer bursts than line and bowl can hide", () => {
		const rig = exampleRig();
		expect(sweepGap(rig, sweepPlan(rig, { dryBursts: 4 }))).toBeNull();
		expect(sweepGap(rig, sweepPlan(rig, { dryBursts: 3 }))).toMatch(/hide the water of 4/);
	});
});

describe("a polish that nobody attends", () => {
	it("begins with bursts, and pumps on when they brought no water", () => {
		const world = new World();
		world.pass(1);
		world.polish({ litres: 3, sweepFirst: undefined });
		world.passUntil(() => world.of("run-end").length > 0, 900);
		expect(bursts(world)).toEqual([1, 2, 3, 4, 5]);
		const stood = world.of("state").filter(({ to }) => to === "standing").length;
		expect(stood).toBe(5);
		expect(world.of("run-end")[0]?.outcome).toBe("finished");
	});

	it("does so again after a trip", () => {
		const world = new World();
		world.pass(1);
		world.polish({ litres: 20, sweepFirst: undefined });
		world.passUntil(() => world.of("burst").length === 5, 400);
		world.passUntil(() => world.name === "polishing", 60);
		world.pass(30);
		world.set({ probeOhm: 20_000 });
		world.pass(2);
		world.set({ probeOhm: Number.POSITIVE_INFINITY });
		world.pass(5);
		world.pressAcknowledge();
		world.passUntil(() => world.of("burst").length === 10, 400);
		world.passUntil(() => world.of("run-end").length > 0, 1_200);
		expect(world.of("run-end")[0]?.outcome).toBe("finished");
	});

	it("does not where a person says that the floor is dry, nor where one stays", () => {
		for (const polish of [{ sweepFirst: false }, { attended: true, sweepFirst: undefined }]) {
			const world = new World();
			world.pass(1);
			world.polish({ litres: 2, ...polish });
			world.passUntil(() => world.of("run-end").length > 0, 300);
			expect(world.of("burst")).toEqual([]);
		}
	});
});
