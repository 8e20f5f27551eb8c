// Stories about going on: what an acknowledgement clears and what it does not, gaps in the ticks,
// water that comes again, and totals that add up.

import { describe, expect, it } from "vitest";
import { rigTally } from "../../firmware/totals.ts";
import { codes, polishing, World } from "./world.ts";

describe("an acknowledgement", () => {
	it("given before a trip says nothing about it", () => {
		const world = polishing();
		world.pressAcknowledge();
		expect(world.of("acknowledge-refused")[0]?.reasons).toEqual(["no trip is open"]);
		world.facts.flowLph = 0;
		world.pass(60);
		expect(world.name).toBe("tripped");
	});

	it("that waits for its record does not clear a trip that came meanwhile", () => {
		const world = polishing();
		world.facts.flowLph = 0;
		world.passUntil(() => world.name === "tripped", 10);
		world.facts.durableSeq = world.state.nextSeq - 1;
		world.pressAcknowledge();
		world.facts.stopPressed = true;
		world.pass(1);
		world.facts.stopPressed = false;
		world.pass(1);
		world.facts.durableSeq = "all";
		world.pass(1);
		expect(world.of("acknowledge-refused")[0]?.reasons).toContain(
			"stop-button came after the acknowledgement",
		);
		expect(world.name).toBe("tripped");
	});

	it.each<[string, (world: World) => void]>([
		["dry-run", (world) => world.set({ flowLph: 0 })],
		["sensor-fault", (world) => world.facts.silent.add("motor-current")],
		["log-failed", (world) => world.set({ logFailed: true })],
		["relay-stuck", (world) => world.set({ strayAmps: 1 })],
	])("of %s is not taken from the link", (code, happens) => {
		const world = code === "relay-stuck" ? new World() : polishing();
		happens(world);
		world.passUntil(() => world.name === "tripped", 10);
		world.acknowledgeByLink();
		world.pass(1);
		expect(world.of("acknowledge-refused")[0]?.reasons).toContain(
			`${code} is acknowledged at the box only`,
		);
	});
});

describe("a gap in the ticks", () => {
	it.each(["priming", "polishing"])("while %s trips: the pump does not go on by itself", (name) => {
		const world = new World();
		world.pass(1);
		world.polish();
		world.passUntil(() => world.name === name, 60);
		world.tick(20_000);
		expect(world.pumpDemanded).toBe(false);
		expect(codes(world)).toEqual(["interrupted"]);
		expect(world.of("trip")[0]?.cause).toBe("no tick for 20.0 s while at work");
	});

	it("of half a second is none: one late tick does not stop a night's work", () => {
		const world = polishing();
		for (let n = 0; n < 20; n += 1) {
			world.tick(500);
			world.pass(2);
		}
		expect(world.name).toBe("polishing");
	});

	it("of 0.6 s may have let the dead-man go", () => {
		const world = polishing();
		world.tick(600);
		expect(codes(world)).toEqual(["interrupted"]);
	});

	it("credits the pump with no more time than the dead-man holds", () => {
		const world = polishing();
		const before = world.state.totals.run.motorMs;
		world.tick(20_000);
		expect(world.state.totals.run.motorMs - before).toBe(1_500);
	});
});

describe("water again within ten minutes", () => {
	const drainAndGoOn = (world: World) => {
		world.facts.probeOhm = Number.POSITIVE_INFINITY;
		world.pass(10);
		world.pressAcknowledge();
	};

	it("ends the order and asks for an inspection", () => {
		const world = polishing();
		world.facts.probeOhm = 20_000;
		world.pass(2);
		drainAndGoOn(world);
		world.passUntil(() => world.name === "polishing", 60);
		world.facts.probeOhm = 20_000;
		world.pass(2);
		expect(world.of("trip")[1]?.cause).toContain("look into tank and bowl");
		expect(world.of("run-end")[0]?.outcome).toBe("ended by trip: water-in-bowl");
		drainAndGoOn(world);
		expect(world.name).toBe("idle");
	});

	it("a report missed while the bowl dries only makes it wait longer", () => {
		const world = polishing();
		world.facts.probeOhm = 20_000;
		world.pass(2);
		world.facts.probeOhm = Number.POSITIVE_INFINITY;
		world.pass(1.5);
		world.facts.silent.add("bowl-probe");
		world.pass(0.8);
		world.facts.silent.clear();
		world.pass(2);
		expect(world.of("drain-seen")).toEqual([]);
		world.pass(2);
		expect(world.of("drain-seen").length).toBe(1);
		world.pressAcknowledge();
		expect(world.name).toBe("priming");
	});

	it("a probe that was unplugged meanwhile has not been seen to dry", () => {
		const world = polishing();
		world.facts.probeOhm = 20_000;
		world.pass(2);
		world.facts.silent.add("bowl-probe");
		world.pass(10);
		world.facts.silent.clear();
		world.facts.probeOhm = Number.POSITIVE_INFINITY;
		world.pass(10);
		world.pressAcknowledge();
		expect(world.name).toBe("tripped");
		// Wetted and dried before its eyes, it is believed again.
		world.facts.probeOhm = 20_000;
		world.pass(2);
		world.facts.probeOhm = Number.POSITIVE_INFINITY;
		world.pass(4);
		world.pressAcknowledge();
		expect(world.name).toBe("priming");
	});
});

describe("totals", () => {
	it("of the rig are those of its tanks and of what nobody ordered", () => {
		const world = new World();
		world.pass(1);
		world.polish({ litres: 0.5 });
		world.passUntil(() => world.of("run-end").length > 0, 120);
		world.pass(5);
		const { tanks, unordered, element, run } = world.state.totals;
		expect(rigTally(world.state.totals)).toEqual(element);
		expect(tanks.port).toEqual(run);
		expect(element.pulses - run.pulses).toBe(unordered.pulses);
	});

	it("count a welded contact's motor time", () => {
		const world = new World();
		world.pass(1);
		world.facts.strayAmps = 1.5;
		world.pass(60);
		expect(world.state.totals.unordered.motorMs).toBeGreaterThan(58_000);
	});
});
