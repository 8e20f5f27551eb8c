// Stories of what the levels and the vacuum tell over a run: another tank, a full one, an empty
// one, a shut vent, a tube drawn to a wall, a full element, a siphon, a gauge that lies. Each once
// on purpose and once nearly.

import { describe, expect, it } from "vitest";
import { find, findingsAtBoot, planFindings } from "../../firmware/sense/findings.ts";
import type { Moment } from "../../firmware/sense/quantity.ts";
import type { Sensed } from "../../firmware/sense/sensed.ts";
import { wellSensed } from "./well.ts";
import { codes, exampleRig, polishing, World } from "./world.ts";

/** Polishes a large order, and has done so for a minute: all that needs a past has one. */
function atIt(prepare: (world: World) => void = () => {}): World {
	const world = new World();
	prepare(world);
	world.pass(1);
	world.polish({ litres: 5_000 });
	world.passUntil(() => world.name === "polishing", 60);
	world.pass(60);
	return world;
}

/** Changes a fact by equal steps of a second. */
function slowly(
	world: World,
	fact: "levelFrom" | "levelTo" | "pumpingKpa",
	to: number,
	seconds: number,
): void {
	const from = world.facts[fact];
	for (let second = 1; second <= seconds; second += 1) {
		world.set({ [fact]: from + ((to - from) * second) / seconds });
		world.pass(1);
	}
}

describe("levels", () => {
	it.each<[string, number, number, RegExp]>([
		["falls under the tube only", 0.55, 0.6, /under the tube, 0.0 % at the return/],
		["rises under the return only", 0.6, 0.65, /0.0 % under the tube/],
		["falls under both: it goes somewhere else", 0.56, 0.56, /-3.. % at the return/],
	])("one that %s trips wrong-tank within 40 s", (_, levelFrom, levelTo, words) => {
		const world = atIt();
		world.set({ levelFrom, levelTo });
		world.passUntil(() => world.name === "tripped", 40);
		expect(codes(world)).toEqual(["wrong-tank"]);
		expect(world.of("trip")[0]?.cause).toMatch(words);
		expect(world.of("run-end")[0]?.outcome).toBe("ended by trip: wrong-tank");
	});

	it("at the rig's own flow the other tank is found before 12 L are in it", () => {
		const world = atIt();
		const before = world.state.totals.run.pulses;
		// 95 L/h out of 310 L into 310 L.
		const sharePerS = 95 / 310 / 3600;
		for (let second = 0; second < 900 && world.name === "polishing"; second += 1) {
			const { levelFrom, levelTo } = world.facts;
			world.set({ levelFrom: levelFrom - sharePerS, levelTo: levelTo + sharePerS });
			world.pass(1);
		}
		expect(codes(world)).toEqual(["wrong-tank"]);
		expect((world.state.totals.run.pulses - before) / 420).toBeLessThan(12);
	});

	it.each<[string, number, number]>([
		["2.5 % down under both", 0.575, 0.575],
		["2.5 % up under both", 0.625, 0.625],
		["one sender off by 2 %", 0.58, 0.6],
	])("%s does not trip", (_, levelFrom, levelTo) => {
		const world = atIt();
		world.set({ levelFrom, levelTo });
		world.pass(300);
		expect(codes(world)).toEqual([]);
	});

	it("a boat that rolls by 20 % of the depth within 6 s does not trip", () => {
		const world = atIt();
		for (let tick = 0; tick < 3_000; tick += 1) {
			const roll = 0.2 * Math.sin((2 * Math.PI * tick) / 60);
			world.set({ levelFrom: 0.6 + roll, levelTo: 0.6 - roll });
			world.pass(0.1);
		}
		expect(codes(world)).toEqual([]);
	});

	it("senders that differ from the start trip in the first start, and are told apart", () => {
		const world = new World();
		world.set({ levelTo: 0.7 });
		world.pass(1);
		world.polish();
		world.passUntil(() => world.name === "tripped", 12);
		expect(codes(world)).toEqual(["wrong-tank"]);
		expect(world.of("trip")[0]?.cause).toContain("differ by -10.0 %");
		world.pressAcknowledge();
		expect(world.of("acknowledge-refused")[0]?.reasons).toContain(
			"wrong-tank: the levels under tube and return differ",
		);
	});

	it("one filled past its ullage line trips destination-full, which the phone may clear", () => {
		const world = atIt((before) => before.set({ levelFrom: 0.94, levelTo: 0.94 }));
		world.set({ levelTo: 0.962 });
		world.passUntil(() => world.name === "tripped", 30);
		expect(codes(world)).toEqual(["destination-full"]);
		world.acknowledgeByLink();
		world.pass(1);
		expect(world.name).toBe("idle");
	});

	it("a tank that was full before may be polished", () => {
		const world = atIt((before) => before.set({ levelFrom: 0.99, levelTo: 0.99 }));
		world.pass(600);
		expect(world.name).toBe("polishing");
	});

	it.each<[string, number, string[]]>([
		["3 % trips source-low 5 s after fuel was proven", 0.03, ["source-low"]],
		["5 % does not", 0.05, []],
	])("%s", (_, level, expected) => {
		const world = new World();
		world.set({ levelFrom: level, levelTo: level });
		world.pass(1);
		world.polish();
		world.passUntil(() => world.name === "polishing", 60);
		world.pass(4.8);
		expect(world.name).toBe("polishing");
		world.pass(60);
		expect(codes(world)).toEqual(expected);
	});
});

describe("a vent that is blocked", () => {
	it("is vacuum that grows faster than the level explains", () => {
		const world = atIt();
		world.set({ levelFrom: 0.585, levelTo: 0.585, pumpingKpa: 18.2 });
		world.passUntil(() => world.name === "tripped", 30);
		expect(codes(world)).toEqual(["tank-vent-blocked"]);
	});

	/** Tripped, acknowledged, and pumping again at the vacuum that it had. */
	const tripped = () => {
		const world = atIt();
		world.set({ levelFrom: 0.585, levelTo: 0.585, pumpingKpa: 18.2 });
		world.passUntil(() => world.name === "tripped", 30);
		world.pressAcknowledge();
		world.passUntil(() => world.name === "polishing", 60);
		world.pass(40);
		return world;
	};

	it.each<[string, number, number]>([
		["the level falls and the vacuum stands", 0.58, 14.5],
		["the vacuum grows and the level stands", 0.6, 18.2],
	])("is not where %s", (_, level, pumpingKpa) => {
		const world = atIt();
		world.set({ levelFrom: level, levelTo: level, pumpingKpa });
		world.pass(300);
		expect(codes(world)).toEqual([]);
	});

	it("trips again when it was acknowledged and not cleared: the vacuum grows on", () => {
		const world = tripped();
		slowly(world, "pumpingKpa", 22, 60);
		world.set({ levelFrom: 0.57, levelTo: 0.57 });
		world.passUntil(() => codes(world).length === 2, 120);
		expect(codes(world)[1]).toBe("tank-vent-blocked");
	});

	it("does not trip again for what came before it was acknowledged", () => {
		const world = tripped();
		world.pass(120);
		expect([codes(world), world.name]).toEqual([["tank-vent-blocked"], "polishing"]);
	});

	it("is not laid to the vent where shut-in air could not thin so much", () => {
		const world = atIt();
		world.set({ levelFrom: 0.597, levelTo: 0.597, pumpingKpa: 18.2 });
		world.pass(300);
		expect(codes(world)).toEqual([]);
	});
});

describe("a tube that is drawn to a wall", () => {
	it("trips suction-blocked within 4 s of a rise by 6 kPa", () => {
		const world = atIt();
		world.set({ pumpingKpa: 20 });
		world.passUntil(() => !world.pumpDemanded, 4);
		expect(codes(world)).toEqual(["suction-blocked"]);
		expect(world.of("trip")[0]?.cause).toMatch(/^vacuum rose by [56].. kPa: tube or element$/);
	});

	it.each<[string, (world: World) => void]>([
		["a rise by 4.5 kPa", (world) => world.set({ pumpingKpa: 18.5 })],
		["6 kPa in four minutes", (world) => slowly(world, "pumpingKpa", 20, 240)],
		["6 kPa for a second", (world) => blink(world, 20, 1)],
	])("%s does not", (_, happens) => {
		const world = atIt();
		happens(world);
		world.pass(60);
		expect(codes(world)).toEqual([]);
	});

	it("gulps of air drop the vacuum and give it back: that is no rise", () => {
		const world = atIt();
		for (let gulp = 0; gulp < 30; gulp += 1) {
			world.set({ flowLph: 20 });
			blink(world, 6, 2);
			world.set({ flowLph: 95 });
			world.pass(8);
		}
		expect(codes(world)).toEqual([]);
	});

	it("is told from a plugged element by the tap between bowl and element", () => {
		const rig = exampleRig((text) =>
			text.replace("    case-temperature,", "    case-temperature, bowl-tap,"),
		);
		expect(seenFirst(rig, { vacuumKpa: 24, bowlTapKpa: 22, vacuumRiseKpa: 6 })).toEqual({
			code: "suction-blocked",
			cause: "vacuum rose by 6.0 kPa: the tube",
		});
		expect(seenFirst(rig, { vacuumKpa: 24, bowlTapKpa: 5, vacuumRiseKpa: 6 })).toEqual({
			code: "restriction-high",
			cause: "vacuum rose by 6.0 kPa: the element",
		});
	});
});

describe("an element that fills", () => {
	const filled = (kpa: number) => {
		const world = atIt();
		slowly(world, "pumpingKpa", kpa, 240);
		return world;
	};

	it("trips restriction-high when the vacuum has been over its limit for 20 s", () => {
		const world = filled(29.5);
		world.set({ pumpingKpa: 30.5 });
		world.pass(19);
		expect(world.name).toBe("polishing");
		world.pass(3);
		expect(codes(world)).toEqual(["restriction-high"]);
	});

	it("does not at its limit, nor over it for 15 s", () => {
		const world = filled(29.5);
		blink(world, 31, 15);
		world.pass(120);
		expect(codes(world)).toEqual([]);
	});

	it("trips again when it was acknowledged and not changed", () => {
		const world = filled(31);
		world.passUntil(() => world.name === "tripped", 30);
		world.pressAcknowledge();
		world.passUntil(() => codes(world).length === 2, 180);
		expect(codes(world)[1]).toBe("restriction-high");
	});
});

describe("a siphon", () => {
	/** The meter turns although the motor does not. */
	const turning = (flowLph: number, seconds: number) => {
		const world = new World();
		world.pass(1);
		for (let tick = 1; tick <= seconds * 10; tick += 1) {
			const litres = (flowLph * tick) / 36_000;
			world.facts.odd.set("flow-pulse", Math.floor(litres * world.rig.meter.pulsesPerLitre));
			world.tick(100);
		}
		return world;
	};

	it("trips from idle within 20 s, and is not acknowledged while it runs", () => {
		const world = turning(20, 20);
		expect(codes(world)).toEqual(["flow-when-stopped"]);
		expect(world.outputs.horn).toBe(true);
	});

	it.each([3, 3.9])("of %d L/h, under the limit, does not in an hour", (flowLph) => {
		expect(codes(turning(flowLph, 3_600))).toEqual([]);
	});

	it("of 6 L/h, 2 over the limit, trips within a minute", () => {
		expect(codes(turning(6, 60))).toEqual(["flow-when-stopped"]);
	});

	it("that drips a pulse a minute does not", () => {
		expect(codes(turning(60 / 420, 600))).toEqual([]);
	});

	it("is not the flow that runs out after a stop", () => {
		const world = atIt();
		world.stop();
		world.tick(100);
		const count = world.state.sense.flow.last?.count ?? 0;
		for (let tick = 0; tick < 48; tick += 1) {
			world.facts.odd.set("flow-pulse", count + tick);
			world.tick(100);
		}
		expect(world.state.sense.flow.flowLph).toBeGreaterThan(50);
		world.pass(60);
		expect(codes(world)).toEqual([]);
	});
});

describe("a vacuum gauge that lies", () => {
	it("and does not move with the pump stops what nobody attends", () => {
		const world = atIt((before) => before.set({ pumpingKpa: 9.1 }));
		world.pass(10);
		expect(codes(world)).toEqual(["sensor-fault"]);
		expect(world.of("trip")[0]?.cause).toBe("vacuum does not move with the pump");
	});

	it("and jumps from tick to tick does so within half a minute", () => {
		const world = atIt();
		for (let tick = 0; tick < 300; tick += 1) {
			world.set({ pumpingKpa: tick % 2 === 0 ? 5 : 17 });
			world.tick(100);
		}
		expect(codes(world)).toEqual(["sensor-fault"]);
		expect(world.of("trip")[0]?.cause).toBe("vacuum jumps from tick to tick");
	});

	it.each<[string, number]>([
		["pressure while the pump is off", -7],
		["vacuum although the pump is off", 17],
	])("that reads %s refuses an order that nobody attends, and no other", (_, restKpa) => {
		const world = new World();
		world.set({ restKpa });
		world.pass(45);
		world.polish();
		world.pass(1);
		const reasons = world.of("order-refused").flatMap((refusal) => refusal.reasons);
		expect(reasons).toContain("unknown: vacuum not believed yet");
		world.polish({ attended: true });
		world.passUntil(() => world.name === "polishing", 60);
	});

	it("is believed with a zero that is 5 kPa off, and with a pump's pulse on it", () => {
		const world = atIt((before) => before.set({ restKpa: 14, pumpingKpa: 19 }));
		for (let tick = 0; tick < 600; tick += 1) {
			world.set({ pumpingKpa: tick % 2 === 0 ? 18 : 20 });
			world.tick(100);
		}
		expect(codes(world)).toEqual([]);
	});
});

/** So much vacuum for so long, and back. */
function blink(world: World, kpa: number, seconds: number): void {
	const { pumpingKpa } = world.facts;
	world.set({ pumpingKpa: kpa });
	world.pass(seconds);
	world.set({ pumpingKpa });
}

/** The first trouble that is found when a rig that is well suddenly senses that for 3 s. */
function seenFirst(rig: ReturnType<typeof exampleRig>, change: Partial<Sensed>) {
	const plan = planFindings(rig);
	const sensed: Sensed = { ...wellSensed, ...change };
	let state = findingsAtBoot(plan);
	for (let nowMs = 0; nowMs <= 3_000; nowMs += 100) {
		const moment: Moment = {
			nowMs,
			elapsedMs: 100,
			motorOn: true,
			polishing: true,
			run: "one",
			tank: "port",
			sameTank: true,
			toTank: undefined,
		};
		const found = find(plan, state, sensed, moment);
		state = found.state;
		const [event] = found.events.filter(({ type }) => type === "trouble");
		if (event?.type === "trouble") return { code: event.code, cause: event.cause };
	}
	return null;
}

it("a rig with which all is well polishes for two hours and tells of nothing", () => {
	const world = polishing();
	world.pass(7_200);
	expect(codes(world)).toEqual([]);
});
