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
		world.pass(9);
		expect(world.history.some((outputs) => outputs["pump-demand"])).toBe(false);
		expect(world.name).toBe("idle");
		world.facts.durableSeq = "all";
		world.passUntil(() => world.name === "polishing", 60);
		expect(world.pumpDemanded).toBe(true);
	});

	it("forgets an order whose record takes longer than anybody waits", () => {
		const world = new World();
		world.pass(1);
		world.facts.durableSeq = 1;
		world.polish({ attended: true });
		world.pass(11);
		expect(world.of("order-refused")[0]?.reasons).toEqual(["its record was not on disk in time"]);
		world.facts.durableSeq = "all";
		world.pass(60);
		expect(world.history.some((outputs) => outputs["pump-demand"])).toBe(false);
	});

	it("a stop behind an order in the same tick takes it back", () => {
		const world = new World();
		world.pass(1);
		world.polish();
		world.stop();
		world.pass(60);
		expect(world.of("run-begin")).toEqual([]);
		expect(world.name).toBe("idle");
	});

	it("gives up a start whose record does not get to disk, and says so", () => {
		const world = new World();
		world.pass(1);
		world.polish();
		world.pass(0.2);
		expect(world.name).toBe("priming");
		world.facts.durableSeq = world.of("order")[0]?.seq ?? 0;
		world.pass(11);
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

	it("a person who stays at the rig is warned just as well", () => {
		const world = new World();
		world.facts.armed = false;
		world.pass(1);
		world.polish({ attended: true });
		world.passUntil(() => world.name === "polishing", 60);
		const first = world.history.findIndex((outputs) => outputs["pump-demand"]);
		const warned = world.history.slice(0, first).filter(({ horn }) => horn);
		expect(warned.length).toBeGreaterThanOrEqual(100);
	});

	it("the lamp is lit from the order to the end of the run, and at no other time", () => {
		const world = polishing();
		const lit = world.history.map((outputs) => outputs["lamp-pump"]);
		expect(lit.lastIndexOf(false)).toBeLessThan(lit.indexOf(true));
		world.facts.flowLph = 0;
		world.pass(10);
		expect(world.outputs).toMatchObject({ "lamp-pump": false, "lamp-trip": true, horn: true });
	});

	it("nothing feeds the dead-man while no start and no run is under way", () => {
		const world = new World();
		world.pass(20);
		expect(new Set(world.history.map((o) => o["dead-man-beat"])).size).toBe(1);
	});

	it("a plan disarmed during the warning does not start", () => {
		const world = new World();
		world.pass(1);
		world.polish();
		world.passUntil(() => world.outputs.horn, 5);
		world.facts.armed = false;
		world.pass(60);
		expect(world.history.some((outputs) => outputs["pump-demand"])).toBe(false);
		expect(world.of("run-end")[0]?.outcome).toBe("no longer permitted");
	});

	it("a plan disarmed in mid-run stops at once", () => {
		const world = polishing();
		world.facts.armed = false;
		world.tick(100);
		expect(world.pumpDemanded).toBe(false);
	});

	it("each further try to prime is warned of too, after a rest as long as the try", () => {
		const world = new World();
		world.facts.flowLph = 0;
		world.pass(1);
		world.polish();
		world.passUntil(() => world.of("prime").length === 1, 120);
		const from = world.history.length;
		world.passUntil(() => world.pumpDemanded, 60);
		const rest = world.history.slice(from);
		expect(rest.length / 10).toBeCloseTo(45, 0);
		expect(rest.slice(-100, -1).every(({ horn }) => horn)).toBe(true);
		expect(rest.every((outputs) => outputs["lamp-pump"])).toBe(true);
	});

	it("each contact is closed alone: K1 only while the beat stands still", () => {
		const world = polishing();
		const levels = world.history.map((outputs) => outputs["dead-man-beat"]);
		const beats = (i: number) => levels[i] !== levels[i - 1];
		const alone = world.history.flatMap((o, i) => (o["pump-demand"] && !beats(i) ? [i] : []));
		expect(alone.length).toBe(25);
		const beating = alone.map((i) => i + 1).filter(beats);
		expect(beating.length).toBeLessThanOrEqual(1);
		// The beat had stood still for 2 s before K1 closed alone: K2 was open by then.
		const before = Array.from({ length: 20 }, (_, back) => (alone[0] ?? 0) - 1 - back);
		expect(before.some(beats)).toBe(false);
	});

	it("current while both contacts are open trips; the horn goes on till somebody comes", () => {
		const world = new World();
		world.pass(1);
		world.facts.strayAmps = 1.5;
		world.pass(1.2);
		expect(world.of("trip")[0]?.code).toBe("relay-stuck");
		world.pass(600);
		expect(world.outputs.horn).toBe(true);
		world.pressAcknowledge();
		expect(world.name).toBe("tripped");
		world.facts.strayAmps = 0;
		world.pass(2);
		world.pressAcknowledge();
		expect(world.name).toBe("idle");
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

	it("ends with the arming while it rests", () => {
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
		expect(end?.outcome).toBe("no longer permitted");
		expect(end?.reasons).toEqual(["the plan is not armed at the rig"]);
	});

	it("is not got round by a stop and a new order: the rest comes first", () => {
		const world = new World(
			exampleRig((text) => text.replace("runMinutesMax: 40", "runMinutesMax: 5")),
		);
		world.pass(1);
		world.polish();
		world.passUntil(() => world.name === "resting", 6 * 60);
		world.stop();
		world.pass(1);
		world.polish();
		world.passUntil(() => world.name === "resting", 2);
		world.pass(15 * 60);
		expect(world.pumpDemanded).toBe(false);
	});

	it("nor is the rest after a dry try by an acknowledgement", () => {
		const world = new World();
		world.facts.flowLph = 0;
		world.pass(1);
		world.polish();
		world.passUntil(() => world.name === "tripped", 400);
		const trippedMs = world.nowMs;
		world.pressAcknowledge();
		world.passUntil(() => world.pumpDemanded, 120);
		expect((world.nowMs - trippedMs) / 1000).toBeGreaterThan(45);
	});
});
