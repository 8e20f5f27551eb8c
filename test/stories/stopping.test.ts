// Stories about stopping: cause -> outcome. Each trip once on purpose and once nearly, and what it
// takes to go on.

import { describe, expect, it } from "vitest";
import { codes, exampleRig, polishing, World } from "./world.ts";

describe("a stop acts in its own tick", () => {
	it("by the link", () => {
		const world = polishing();
		world.stop();
		world.tick(100);
		expect(world.pumpDemanded).toBe(false);
		expect(world.of("run-end")[0]?.outcome).toBe("stopped");
	});

	it("by the link, even when nothing gets to disk any more", () => {
		const world = polishing();
		world.facts.durableSeq = 1;
		world.stop();
		world.tick(100);
		expect(world.pumpDemanded).toBe(false);
	});

	it.each(["priming", "polishing", "resting"])("by the stop button while %s", (name) => {
		const world = new World(
			exampleRig((text) => text.replace("runMinutesMax: 40", "runMinutesMax: 2")),
		);
		world.pass(1);
		world.polish();
		world.passUntil(() => world.name === name, 400);
		world.facts.stopPressed = true;
		world.tick(100);
		expect(world.pumpDemanded).toBe(false);
		expect(world.name).toBe("tripped");
		expect(codes(world)).toEqual(["stop-button"]);
	});

	it("by the stop button while idle, and the trip must be acknowledged before a start", () => {
		const world = new World();
		world.pass(1);
		world.facts.stopPressed = true;
		world.pass(1);
		world.facts.stopPressed = false;
		world.pass(1);
		world.polish();
		world.pass(1);
		expect(world.of("order-refused")[0]?.reasons).toContain("the controller is tripped");
		world.pressAcknowledge();
		expect(world.name).toBe("idle");
		expect(world.of("run-begin")).toEqual([]);
	});
});

describe("water at the probe", () => {
	const wet = () => {
		const world = polishing();
		world.facts.probeOhm = 20_000;
		return world;
	};

	it("stops the pump within a second: both ways through the probe, and the delay", () => {
		const world = wet();
		world.passUntil(() => !world.pumpDemanded, 0.9);
		expect(codes(world)).toEqual(["water-in-bowl"]);
	});

	it.each([
		["a droplet for 0.2 s", 20_000, 0.2],
		["600 kΩ of damp for a minute", 600_000, 60],
	])("%s does not", (_, ohm, seconds) => {
		const world = polishing();
		world.facts.probeOhm = ohm;
		world.pass(seconds);
		world.facts.probeOhm = Number.POSITIVE_INFINITY;
		world.pass(5);
		expect(codes(world)).toEqual([]);
		expect(world.name).toBe("polishing");
	});

	it("is not acknowledged while the probe is wet", () => {
		const world = wet();
		world.pass(2);
		world.pressAcknowledge();
		expect(world.name).toBe("tripped");
		expect(world.of("acknowledge-refused")[0]?.reasons).toEqual([
			"water-in-bowl: the probe reads wet: drain the bowl",
		]);
	});

	it("is not acknowledged when it read dry for a moment only", () => {
		const world = wet();
		world.pass(2);
		world.facts.probeOhm = Number.POSITIVE_INFINITY;
		world.pass(1);
		world.pressAcknowledge();
		expect(world.name).toBe("tripped");
	});

	it("is not acknowledged by the link, drained or not", () => {
		const world = wet();
		world.pass(2);
		world.facts.probeOhm = Number.POSITIVE_INFINITY;
		world.pass(10);
		world.acknowledgeByLink();
		world.pass(1);
		expect(world.name).toBe("tripped");
		expect(world.of("acknowledge-refused")[0]?.reasons).toEqual([
			"water-in-bowl is acknowledged at the box only",
		]);
	});

	it("drained and acknowledged at the box, goes on with the horn, cleared by the prime", () => {
		const world = wet();
		world.pass(2);
		const litresBefore = world.state.totals.run.pulses;
		world.facts.probeOhm = Number.POSITIVE_INFINITY;
		world.pass(10);
		world.history.length = 0;
		world.pressAcknowledge();
		expect(world.of("cleared")).toEqual([]);
		world.passUntil(() => world.name === "polishing", 60);
		const first = world.history.findIndex((outputs) => outputs["pump-demand"]);
		expect(world.history.slice(0, first).filter(({ horn }) => horn).length).toBeGreaterThanOrEqual(
			100,
		);
		expect(world.of("cleared")[0]?.codes).toEqual(["water-in-bowl"]);
		expect(world.state.totals.run.pulses).toBeGreaterThan(litresBefore);
	});

	it("does not go on when the plan was disarmed while the crew was at the bowl", () => {
		const world = wet();
		world.pass(2);
		world.facts.probeOhm = Number.POSITIVE_INFINITY;
		world.facts.armed = false;
		world.pass(10);
		world.pressAcknowledge();
		expect(world.name).toBe("tripped");
		expect(world.of("acknowledge-refused")[0]?.reasons).toEqual([
			"the plan is not armed at the rig",
		]);
	});
});

describe("air at the pump", () => {
	it("stops it within 6 s", () => {
		const world = polishing();
		world.facts.flowLph = 0;
		world.passUntil(() => !world.pumpDemanded, 6);
		expect(codes(world)).toEqual(["dry-run"]);
	});

	it("a gulp of 2 s does not", () => {
		const world = polishing();
		world.facts.flowLph = 0;
		world.pass(2);
		world.facts.flowLph = 95;
		world.pass(10);
		expect(codes(world)).toEqual([]);
	});

	it("no prime: three tries, each no longer than the pump may run dry, then a trip", () => {
		const world = new World();
		world.facts.flowLph = 0;
		world.pass(1);
		world.polish();
		world.passUntil(() => world.name === "tripped", 400);
		expect(codes(world)).toEqual(["prime-failed"]);
		expect(world.of("prime").map(({ result }) => result)).toEqual(["none", "none", "none"]);
		// The proof of K1 alone (2.5 s) demands without turning the motor.
		const demanded = world.history.filter((outputs) => outputs["pump-demand"]).length / 10;
		expect(demanded - 2.5).toBeCloseTo(3 * 45, 0);
	});
});

describe("a sensor that says nothing", () => {
	it.each(["bowl-probe", "stop-loop", "flow-pulse", "motor-current"])(
		"%s stops the pump",
		(name) => {
			const world = polishing();
			world.facts.silent.add(name);
			world.passUntil(() => !world.pumpDemanded, 2);
			expect(codes(world)).toEqual(["sensor-fault"]);
			expect(world.of("trip")[0]?.cause).toBe(`${name} reads not-fitted`);
		},
	);

	it("outputs that are not as driven stop the pump", () => {
		const world = polishing();
		world.facts.odd.set("board", 0);
		world.passUntil(() => !world.pumpDemanded, 1);
		expect(codes(world)).toEqual(["board-lost"]);
		expect(world.of("trip")[0]?.cause).toBe("outputs are not as driven");
	});

	it("readings that are half a second old are let pass; older ones stop the pump at once", () => {
		const world = polishing();
		world.facts.ageMs = 500;
		world.pass(5);
		expect(world.name).toBe("polishing");
		world.facts.ageMs = 501;
		world.tick(100);
		expect(world.pumpDemanded).toBe(false);
		expect(codes(world)).toEqual(["board-lost"]);
	});

	it("a board that was never heard is one that does not answer", () => {
		const world = polishing();
		world.facts.silent.add("board");
		world.tick(100);
		expect(codes(world)).toEqual(["board-lost"]);
		expect(world.of("trip")[0]?.cause).toBe("no answer: stale");
	});

	it("goes on after an acknowledgement once it reads again", () => {
		const world = polishing();
		world.facts.silent.add("flow-pulse");
		world.pass(3);
		world.pressAcknowledge();
		expect(world.name).toBe("tripped");
		world.facts.silent.clear();
		world.pass(2);
		world.pressAcknowledge();
		world.passUntil(() => world.name === "polishing", 60);
	});
});

describe("limits of an order", () => {
	it("ends at its goal, not a pulse before", () => {
		const world = new World();
		world.pass(1);
		world.polish({ litres: 1 });
		world.passUntil(() => world.of("run-end").length > 0, 120);
		const [end] = world.of("run-end");
		expect(end?.outcome).toBe("finished");
		expect(end?.run.pulses).toBeGreaterThanOrEqual(420);
		expect(end?.run.pulses).toBeLessThanOrEqual(422);
	});

	it("trips at the time limit, which the phone may acknowledge", () => {
		const world = new World(
			exampleRig((text) => text.replace("setpoints: {}", "setpoints: { timeLimitMinutes: 3 }")),
		);
		world.pass(1);
		world.polish();
		world.pass(200);
		expect(codes(world)).toEqual(["time-limit"]);
		world.acknowledgeByLink();
		world.pass(1);
		expect(world.name).toBe("idle");
	});

	it("a log that fails in mid-run stops the pump", () => {
		const world = polishing();
		world.facts.logFailed = true;
		world.tick(100);
		expect(world.pumpDemanded).toBe(false);
		expect(codes(world)).toEqual(["log-failed"]);
	});

	it("a second trip while tripped is kept, the worst first, and both must go", () => {
		const world = polishing();
		world.facts.probeOhm = 20_000;
		world.pass(2);
		world.facts.stopPressed = true;
		world.pass(1);
		expect(world.state.cycle.context.trips.map(({ code }) => code)).toEqual([
			"stop-button",
			"water-in-bowl",
		]);
		world.facts.probeOhm = Number.POSITIVE_INFINITY;
		world.pass(5);
		world.pressAcknowledge();
		expect(world.name).toBe("tripped");
		world.facts.stopPressed = false;
		world.pass(1);
		world.pressAcknowledge();
		expect(world.name).toBe("idle");
	});
});

it("a log that hangs without a word stops the pump when its patience is over", () => {
	const world = polishing();
	world.facts.logAgeMs = 10_100;
	world.tick(100);
	expect(codes(world)).toEqual(["log-failed"]);
});
