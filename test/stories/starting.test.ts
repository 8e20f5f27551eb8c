// Stories about starting: what must be true first, and what comes before the pump turns. Facts are
// set, time passes, the story asserts.

import { describe, expect, it } from "vitest";
import { exampleRig, polishing, World } from "./world.ts";

describe("an order waits for its durable record", () => {
	it("does not demand the pump while the record is not on disk", () => {
		const world = new World();
		world.pass(1);
		world.facts.durableSeq = 1;
		world.polish();
		world.pass(30);
		expect(world.history.some((outputs) => outputs["pump-demand"])).toBe(false);
		expect(world.name).toBe("idle");
		world.facts.durableSeq = "all";
		world.passUntil(() => world.name === "polishing", 60);
		expect(world.pumpDemanded).toBe(true);
	});

	it("gives up a start whose record does not get to disk, and says so", () => {
		const world = new World();
		world.pass(1);
		world.polish();
		world.pass(0.2);
		expect(world.name).toBe("priming");
		world.facts.durableSeq = world.of("order")[0]?.seq ?? 0;
		world.pass(6);
		expect(world.of("trip").map(({ code }) => code)).toEqual(["log-failed"]);
		expect(world.history.some((outputs) => outputs["pump-demand"])).toBe(false);
	});

	it("forgets an order that waits when a stop comes", () => {
		const world = new World();
		world.pass(1);
		world.facts.durableSeq = 1;
		world.polish();
		world.pass(1);
		world.stop();
		world.pass(1);
		world.facts.durableSeq = "all";
		world.pass(60);
		expect(world.name).toBe("idle");
		expect(world.of("run-begin")).toEqual([]);
	});
});

describe("an unattended order is refused", () => {
	const refusedBecause = (prepare: (world: World) => void) => {
		const world = new World();
		prepare(world);
		world.pass(2);
		world.polish();
		world.pass(60);
		expect(world.history.some((outputs) => outputs["pump-demand"])).toBe(false);
		return world.of("order-refused").flatMap(({ reasons }) => reasons);
	};

	it.each<[string, (world: World) => void, string]>([
		["not armed", (world) => world.set({ armed: false }), "the plan is not armed at the rig"],
		[
			"not commissioned",
			(world) => world.set({ commissioned: false }),
			"the rig is not commissioned",
		],
		["log failed", (world) => world.set({ logFailed: true }), "the log has failed"],
		[
			"probe silent",
			({ facts }) => facts.silent.add("bowl-probe"),
			"the water probe reads not-fitted",
		],
		[
			"meter silent",
			({ facts }) => facts.silent.add("flow-pulse"),
			"unknown: flow-pulse not-fitted",
		],
		["readings old", (world) => world.set({ ageMs: 1500 }), "the water probe reads stale"],
	])("%s", (_, prepare, reason) => {
		expect(refusedBecause(prepare)).toContain(reason);
	});

	it("for a tank that the rig does not know", () => {
		const world = new World();
		world.pass(1);
		world.polish({ tank: "attic" });
		world.pass(1);
		const [refusal] = world.of("order-refused");
		expect(refusal?.reasons).toEqual(['no tank "attic"; there are: port, starboard, day']);
	});

	it("for a dip above what the tank holds", () => {
		const world = new World();
		world.pass(1);
		world.polish({ dipLitres: 500 });
		world.pass(1);
		const [refusal] = world.of("order-refused");
		expect(refusal?.reasons).toEqual(["the dip of 500 L is more than the tank's 310 L"]);
	});

	it("while another one is at work", () => {
		const world = polishing();
		world.polish();
		world.pass(1);
		expect(world.of("order-refused")[0]?.reasons).toEqual(["the controller is polishing"]);
		expect(world.name).toBe("polishing");
	});
});

describe("before the pump starts", () => {
	it("lamp and horn warn for 10 s before an unattended start", () => {
		const world = polishing();
		const first = world.history.findIndex((outputs) => outputs["pump-demand"]);
		const warned = world.history.slice(0, first).filter((o) => o.horn && o["lamp-pump"]);
		expect(warned.length).toBeGreaterThanOrEqual(100);
	});

	it("a person who stays at the rig and orders is not warned", () => {
		const world = new World();
		world.facts.armed = false;
		world.pass(1);
		world.polish({ attended: true });
		world.passUntil(() => world.name === "polishing", 60);
		expect(world.history.some(({ horn }) => horn)).toBe(false);
	});

	it("each contact is closed alone: K1 only while the beat stands still", () => {
		const world = polishing();
		const levels = world.history.map((outputs) => outputs["dead-man-beat"]);
		const beats = (i: number) => levels[i] !== levels[i - 1];
		const alone = world.history.flatMap((o, i) => (o["pump-demand"] && !beats(i) ? [i] : []));
		expect(alone.length).toBe(25);
		// The beat had stood still for 2 s before K1 closed alone: K2 was open by then.
		const before = Array.from({ length: 20 }, (_, back) => (alone[0] ?? 0) - 1 - back);
		expect(before.some(beats)).toBe(false);
	});

	it("current while K1 is open trips, and K2 is opened by ending the beat", () => {
		const world = new World();
		world.pass(1);
		world.facts.strayAmps = 1.5;
		world.pass(1.2);
		expect(world.of("trip")[0]?.code).toBe("relay-stuck");
		const [a, b] = world.history.slice(-2);
		expect(a?.["dead-man-beat"]).toBe(b?.["dead-man-beat"]);
		expect(world.outputs.horn).toBe(true);
	});
});

describe("the pump's duty", () => {
	it("runs no longer than its rating, rests as long as it asks, and warns before going on", () => {
		const world = new World(
			exampleRig((text) => text.replace("runMinutesMax: 40", "runMinutesMax: 5")),
		);
		world.pass(1);
		world.polish();
		world.passUntil(() => world.name === "resting", 6 * 60);
		const ranS = world.history.filter((outputs) => outputs["pump-demand"]).length / 10;
		expect(ranS).toBeLessThanOrEqual(5 * 60 + 2.5);
		expect(world.pumpDemanded).toBe(false);
		const restedFrom = world.nowMs;
		world.passUntil(() => world.name === "priming", 21 * 60);
		expect((world.nowMs - restedFrom) / 60_000).toBeCloseTo(20, 1);
		world.passUntil(() => world.pumpDemanded, 30);
		const since = world.history.slice(-200);
		expect(since.filter(({ horn }) => horn).length).toBeGreaterThanOrEqual(100);
	});

	it("does not start again by itself when the plan is no longer armed", () => {
		const world = new World(
			exampleRig((text) => text.replace("runMinutesMax: 40", "runMinutesMax: 5")),
		);
		world.pass(1);
		world.polish();
		world.passUntil(() => world.name === "resting", 6 * 60);
		world.facts.armed = false;
		world.pass(25 * 60);
		expect(world.name).toBe("idle");
		const [end] = world.of("run-end");
		expect(end?.outcome).toBe("could not start");
		expect(end?.reasons).toEqual(["the plan is not armed at the rig"]);
	});
});
