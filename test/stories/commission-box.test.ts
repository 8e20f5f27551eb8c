// Commissioning at rest: lamps, horn, button, loops, probe, zeros. What passes, what does not, and
// what nobody can get past.

import { describe, expect, it } from "vitest";
import { Prover } from "./prover.ts";

function counted(step: "lamps" | "horn", off = 0) {
	const world = new Prover();
	world.start(step);
	const from = world.history.length;
	world.passUntil(() => world.now?.asks === "answer", 60);
	const names = world.now?.entries ?? [];
	const seen = names.map((name) => [name, world.flashes(name as "horn", from)] as const);
	world.answer(Object.fromEntries(seen.map(([name, n], i) => [name, i === 0 ? n + off : n])));
	return { world, seen };
}

describe("lamps and horn", () => {
	it.each(["lamps", "horn"] as const)("%s: the right count passes", (step) => {
		const { world, seen } = counted(step);
		expect(seen.length).toBe(step === "lamps" ? 2 : 1);
		for (const [, times] of seen) expect(times).toBeGreaterThan(0);
		expect(world.last).toMatchObject({ step, passed: true, endedBy: null });
		expect(world.due(step)).toBeNull();
	});

	it.each(["lamps", "horn"] as const)("%s: a wrong count fails", (step) => {
		const { world } = counted(step, 1);
		expect(world.last).toMatchObject({ step, passed: false });
		expect(world.last?.reasons.join()).toMatch(/: \d were shown, \d typed/);
		expect(world.due(step)).toBe("never passed");
	});
});

describe("a step's beginning", () => {
	it("needs the time", () => {
		const world = new Prover();
		world.state = { ...world.state, schedule: { ...world.state.schedule, clock: null } };
		world.begin("lamps");
		expect(world.refused).toContain("set the clock first");
		expect(world.now).toBeNull();
	});

	it("needs a hand at the box, and ends without one", () => {
		const world = new Prover();
		world.begin("lamps");
		expect(world.now?.asks).toBe("press");
		world.pass(119);
		expect(world.now).not.toBeNull();
		world.pass(3);
		expect(world.last).toMatchObject({ passed: false, endedBy: "patience" });
	});

	it("takes the press for itself: it acknowledges and arms nothing", () => {
		const world = new Prover();
		world.set({ armed: "by-button" });
		world.begin("horn");
		world.holdButton();
		expect(world.of("armed").length + world.of("arming-refused").length).toBe(0);
		expect(world.of("acknowledge-refused").length).toBe(0);
		expect(world.now?.asks).toBe("wait");
	});

	it("is refused while another step, an order or a trip is there, and without the sensor", () => {
		const world = new Prover();
		world.begin("lamps");
		world.begin("horn");
		expect(world.refused).toContain("the step lamps is under way");
		world.end();
		world.polish({ litres: 5, attended: true });
		world.pass(0.1);
		world.begin("horn");
		expect(world.refused).toMatch(/written down|priming/);
		world.stop();
		world.pass(1);
		world.set({ trayWet: true });
		world.pass(1);
		world.begin("horn");
		expect(world.refused).toContain("the controller is tripped");
		world.give({ type: "prove-begin", id: "x", step: "bowl-zero", by: "JM" });
		world.pass(0.2);
		expect(world.refused).toContain("no sensor for this step");
	});

	it("keeps the pump from everybody else meanwhile", () => {
		const world = new Prover();
		world.begin("lamps");
		world.polish({ litres: 5, attended: true });
		world.pass(0.2);
		expect(world.of("order-refused")[0]?.reasons).toContain("the controller is commissioning");
		world.set({ commissioned: true, armed: true });
		world.plan({
			at: "2026-11-29T10:01",
			work: { sweep: { tank: "port", standSeconds: 60, attended: false } },
		});
		world.pass(90);
		expect(world.of("order")).toEqual([]);
		expect(world.state.schedule.waits?.reasons).toContain("the controller is commissioning");
	});

	it("ends by a stop, by who began it, and after a quarter of an hour without anybody", () => {
		const world = new Prover();
		world.begin("identity");
		world.give({ type: "stop", id: "halt" });
		world.pass(0.2);
		expect(world.last).toMatchObject({ passed: false, endedBy: "halt" });
		world.begin("identity");
		world.end();
		expect(world.last?.endedBy).toMatch(/^prove-/);
		world.begin("identity");
		world.pass(14 * 60);
		expect(world.now).not.toBeNull();
		world.pass(90);
		expect(world.last).toMatchObject({ passed: false, endedBy: "patience" });
	});
});

describe("the identity", () => {
	const label = new Prover().rig.rig.slice(0, 40);

	it.each([
		["the box's name", { label, lampsAlone: 0 }, true, ""],
		["another name", { label: "Grey Heron", lampsAlone: 0 }, false, 'the box says "Grey Heron"'],
		["a contact alone that lights the lamp", { label, lampsAlone: 1 }, false, "where 0 is right"],
	] as const)("%s", (_, values, passed, why) => {
		const world = new Prover();
		world.begin("identity");
		world.answer(values);
		expect(world.last).toMatchObject({ step: "identity", passed });
		expect(world.last?.reasons.join()).toContain(why);
	});

	it.each([
		[{ label }, "lampsAlone is missing"],
		[{ label, lampsAlone: "none" }, "lampsAlone is a number"],
		[{ label, lampsAlone: 0, amps: 2 }, 'nothing called "amps"'],
	] as const)("does not take %o", (values, why) => {
		const world = new Prover();
		world.begin("identity");
		world.answer(values as never);
		expect(world.refused).toContain(why);
		expect(world.now?.asks).toBe("answer");
	});
});

describe("the button", () => {
	it("passes when it is silent and then pressed", () => {
		const world = new Prover();
		world.start("button");
		world.passUntil(() => world.now?.asks === "press", 15);
		world.pressAcknowledge();
		expect(world.last).toMatchObject({ step: "button", passed: true });
	});

	it("fails when it is seen pressed by itself", () => {
		const world = new Prover();
		world.start("button");
		world.pass(3);
		world.pressAcknowledge();
		expect(world.last?.reasons.join()).toContain("while nobody touched it");
	});

	it("fails when no press comes", () => {
		const world = new Prover();
		world.start("button");
		world.pass(75);
		expect(world.last).toMatchObject({ passed: false, reasons: ["no press was seen"] });
	});
});

describe("looks", () => {
	const cases = [
		["stop-loop", "stopPressed"],
		["return-loop", "returnOut"],
		["tube-loop", "tubeOut"],
		["tray", "trayWet"],
	] as const;

	it.each(cases)("%s passes, with what the loop read", (step, fact) => {
		const world = new Prover();
		world.start(step);
		world.pass(3);
		expect(world.now?.asks).toBe("act");
		world.set({ [fact]: true });
		world.pass(3);
		world.set({ [fact]: false });
		world.pass(3);
		expect(world.last).toMatchObject({ step, passed: true });
		expect(world.last?.values).toMatchObject({ madeOhm: 0, brokenOhm: "none", againOhm: 0 });
	});

	it.each(cases)("%s does not pass while nothing moves", (step) => {
		const world = new Prover();
		world.start(step);
		world.pass(16 * 60);
		expect(world.last).toMatchObject({ step, passed: false, counts: true, endedBy: "patience" });
	});

	it("a loop that only twitches is not seen", () => {
		const world = new Prover();
		world.start("return-loop");
		world.pass(3);
		for (let i = 0; i < 5; i += 1) {
			world.set({ returnOut: true });
			world.pass(1.5);
			world.set({ returnOut: false });
			world.pass(1.5);
		}
		expect(world.last).toBeUndefined();
	});

	/** Ω of what the probe is held into. */
	const AIR = Number.POSITIVE_INFINITY;
	function probed(ohms: readonly number[]): Prover {
		const world = new Prover();
		world.start("probe");
		for (const ohm of ohms) {
			world.set({ probeOhm: ohm });
			if (world.now?.asks === "press") world.pressAcknowledge();
			world.pass(4);
		}
		return world;
	}

	it("the probe tells air and fuel from water, and trips meanwhile as ever", () => {
		const world = probed([AIR, AIR, 60_000, 200, AIR]);
		expect(world.last).toMatchObject({ step: "probe", passed: true });
		const { airKohm, condensateKohm, saltKohm } = world.last?.values ?? {};
		expect(airKohm).toBe("none");
		expect(condensateKohm).toBeGreaterThan(55);
		expect(condensateKohm).toBeLessThan(65);
		expect(saltKohm).toBeLessThan(1);
		expect(world.name).toBe("tripped");
		world.pressAcknowledge();
		expect(world.name).toBe("idle");
	});

	it("a probe that does not see condensate does not pass", () => {
		const world = probed([AIR, AIR, 900_000, 900_000, AIR, AIR]);
		expect(world.last).toBeUndefined();
		expect(world.now?.say).toContain("condensate");
	});
});

describe("what is measured at rest", () => {
	it.each([
		["vacuum-zero", { restKpa: 0.4 }, { airHpa: 1_013 }, true],
		["vacuum-zero", { restKpa: 3 }, { airHpa: 1_013 }, false],
		["supply", { supplyVolts: 12.6 }, { meterVolts: 12.7 }, true],
		["supply", { supplyVolts: 12.6 }, { meterVolts: 13.1 }, false],
		["thermometers", { fuelC: 15, caseC: 16 }, { thermometerC: 15.5 }, true],
		["thermometers", { fuelC: 15, caseC: 20 }, { thermometerC: 15.5 }, false],
	] as const)("%s %o beside %o", (step, facts, values, passed) => {
		const world = new Prover();
		world.set(facts);
		world.pass(30);
		world.start(step);
		expect(world.now?.asks).toBe("answer");
		world.answer(values);
		world.pass(12);
		expect(world.last).toMatchObject({ step, passed });
		if (!passed) expect(world.last?.reasons.join()).toContain("which is not");
	});

	it("a gauge that says nothing fails", () => {
		const world = new Prover();
		world.set({ silent: new Set(["vacuum"]) });
		world.start("vacuum-zero");
		world.answer({ airHpa: 1_013 });
		world.pass(70);
		expect(world.last?.reasons.join()).toContain("vacuumKpa is not known");
	});
});
