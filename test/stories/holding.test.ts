// Stories of orders that wait: for warmer fuel, for a charged battery. They go on by themselves
// with a warning, so often and so long; then they trip.

import { describe, expect, it } from "vitest";
import { codes, exampleRig, polishing, World } from "./world.ts";

const HOUR_MS = 3_600_000;

interface Cause {
	readonly name: "cold" | "supply-recovering";
	readonly bad: (world: World) => void;
	/** Better, and not yet good enough to go on. */
	readonly better: (world: World) => void;
	readonly good: (world: World) => void;
	/** Just not bad enough. */
	readonly nearly: (world: World) => void;
	readonly code: string;
	readonly words: string;
}

const causes: readonly Cause[] = [
	{
		name: "cold",
		bad: (world) => world.set({ fuelC: 1.5 }),
		better: (world) => world.set({ fuelC: 3.5 }),
		good: (world) => world.set({ fuelC: 4.5 }),
		nearly: (world) => world.set({ fuelC: 2.5 }),
		code: "too-cold",
		words: "the fuel is too cold",
	},
	{
		name: "supply-recovering",
		bad: (world) => world.set({ supplyVolts: 11.7 }),
		better: (world) => world.set({ supplyVolts: 12.2 }),
		good: (world) => world.set({ supplyVolts: 12.5 }),
		// 0.085 V of it is the pump's own drop.
		nearly: (world) => world.set({ supplyVolts: 11.85 }),
		code: "supply-low",
		words: "the battery is low",
	},
];

const attendance = [
	{ what: "nobody attends", attended: false },
	{ what: "somebody attends", attended: true },
];

function polishingFor(attended: boolean, rig = exampleRig()): World {
	const world = new World(rig);
	world.pass(1);
	world.polish({ attended, litres: 5_000 });
	world.passUntil(() => world.name === "polishing", 60);
	return world;
}

/** Lets much time pass, in long steps while nothing is at work. */
function wait(world: World, ms: number): void {
	const endMs = world.nowMs + ms;
	while (world.nowMs < endMs) world.tick(world.name === "held" ? 2_000 : 100);
}

describe.each(causes)("$name", ({ name, bad, better, good, nearly, code, words }) => {
	it.each(attendance)(
		"holds an order that $what within 31 s, with the pump off",
		({ attended }) => {
			const world = polishingFor(attended);
			bad(world);
			world.pass(29);
			expect(world.name).toBe("polishing");
			world.passUntil(() => world.name === "held", 2);
			expect(world.outputs).toMatchObject({
				"pump-demand": false,
				"lamp-pump": false,
				horn: false,
			});
			expect(world.of("held").map((record) => record.causes)).toEqual([[name]]);
			const beat = world.outputs["dead-man-beat"];
			world.history.length = 0;
			world.pass(60);
			expect(world.history.every((outputs) => outputs["dead-man-beat"] === beat)).toBe(true);
			expect(codes(world)).toEqual([]);
		},
	);

	it("does not for what is nearly so, nor for what is so for a moment", () => {
		const world = polishingFor(false);
		nearly(world);
		world.pass(300);
		bad(world);
		world.pass(25);
		good(world);
		world.pass(60);
		expect(world.of("held")).toEqual([]);
	});

	it("goes on after ten good minutes, with lamp and horn first", () => {
		const world = polishingFor(false);
		bad(world);
		world.passUntil(() => world.name === "held", 35);
		better(world);
		wait(world, HOUR_MS);
		expect(world.name).toBe("held");
		good(world);
		world.pass(590);
		better(world);
		world.pass(1);
		good(world);
		world.pass(590);
		expect(world.name).toBe("held");
		world.passUntil(() => world.name === "priming", 15);
		world.history.length = 0;
		world.passUntil(() => world.name === "polishing", 60);
		const first = world.history.findIndex((outputs) => outputs["pump-demand"]);
		const warned = world.history.slice(0, first).filter((o) => o.horn && o["lamp-pump"]);
		expect(warned.length).toBeGreaterThanOrEqual(100);
		expect(world.of("start").map(({ reason }) => reason)).toEqual(["ordered", "released"]);
	});

	it("is let go on three times in twelve hours; then it trips, and says so", () => {
		const world = polishingFor(false);
		for (let time = 0; time < 3; time += 1) {
			bad(world);
			world.passUntil(() => world.name === "held", 35);
			good(world);
			wait(world, 620_000);
			world.passUntil(() => world.name === "polishing", 60);
		}
		bad(world);
		world.passUntil(() => world.name === "tripped", 35);
		expect(codes(world)).toEqual([code]);
		expect(world.of("trip")[0]?.cause).toContain(words);
		expect(world.of("trip")[0]?.cause).toContain("waited enough");
		expect(world.pumpDemanded).toBe(false);
	});

	it("is let go on again where the earlier times are twelve hours old", () => {
		const world = polishingFor(false);
		for (let time = 0; time < 4; time += 1) {
			bad(world);
			world.passUntil(() => world.name === "held", 35);
			if (time === 3) break;
			// By the fourth hold the first is more than 13 h ago; the motor cools as the fuel has.
			for (; world.facts.caseC > world.facts.fuelC + 5; world.pass(10)) world.facts.caseC -= 1;
			wait(world, 6.5 * HOUR_MS);
			good(world);
			wait(world, 620_000);
			world.passUntil(() => world.name === "polishing", 60);
		}
		expect(codes(world)).toEqual([]);
	});

	it("trips when it lasts longer than the order may wait", () => {
		const world = polishingFor(
			false,
			exampleRig((text) => text.replace("setpoints: {}", "setpoints: { holdHoursMax: 1 }")),
		);
		bad(world);
		world.passUntil(() => world.name === "held", 35);
		wait(world, HOUR_MS - 20_000);
		expect(world.name).toBe("held");
		wait(world, 30_000);
		expect(codes(world)).toEqual([code]);
		expect(world.of("trip")[0]?.cause).toContain(words);
	});

	it.each(attendance)("refuses an order that $what while it is so", ({ attended }) => {
		const world = new World();
		bad(world);
		world.pass(35);
		world.polish({ attended });
		world.pass(2);
		expect(world.name).toBe("idle");
		const [reason] = world.of("order-refused").flatMap(({ reasons }) => reasons);
		expect(reason).toContain(words);
	});

	it("holds a start too, before the pump has turned", () => {
		const world = new World();
		bad(world);
		world.pass(25);
		world.polish();
		world.passUntil(() => world.name === "held", 10);
		expect(world.history.some((outputs) => outputs["pump-demand"])).toBe(false);
	});
});

describe("while it is held", () => {
	const held = (rig = exampleRig()) => {
		const world = polishingFor(false, rig);
		world.set({ fuelC: 0 });
		world.pass(1.5);
		world.passUntil(() => world.name === "held", 35);
		return world;
	};

	it("a stop ends the order", () => {
		const world = held();
		world.stop();
		world.tick(100);
		expect(world.name).toBe("idle");
		expect(world.of("run-end")[0]?.outcome).toBe("stopped");
	});

	it("the other cause holds it on when the first is gone", () => {
		const world = held();
		world.set({ supplyVolts: 11.6 });
		world.pass(40);
		world.set({ fuelC: 15 });
		world.pass(1.5);
		wait(world, 1_200_000);
		expect(world.name).toBe("held");
		world.set({ supplyVolts: 12.6 });
		wait(world, 620_000);
		expect(world.name).toBe("priming");
	});

	it("a trip comes first, and after its acknowledgement it waits again", () => {
		const world = held();
		world.set({ pressureHigh: true });
		world.pass(1);
		expect(codes(world)).toEqual(["discharge-blocked"]);
		world.set({ pressureHigh: false });
		world.pass(3);
		world.pressAcknowledge();
		world.pass(1);
		expect(world.name).toBe("held");
		expect(world.pumpDemanded).toBe(false);
	});

	it("an arming that lapses ends the order", () => {
		const world = held();
		world.facts.armed = false;
		world.pass(1);
		expect(world.name).toBe("idle");
		expect(world.of("run-end")[0]?.outcome).toBe("no longer permitted");
	});

	it("it is not at work: the order's own limit stands still", () => {
		const limited = exampleRig((text) =>
			text.replace("setpoints: {}", "setpoints: { timeLimitMinutes: 10 }"),
		);
		const world = held(limited);
		wait(world, HOUR_MS);
		expect(world.name).toBe("held");
		world.set({ fuelC: 15 });
		world.pass(1.5);
		wait(world, 620_000);
		world.passUntil(() => world.name === "polishing", 60);
		world.passUntil(() => world.name === "tripped", 600);
		expect(codes(world)).toEqual(["time-limit"]);
	});

	it("an order that somebody attends ends when nobody presses the button", () => {
		const world = polishingFor(true);
		world.set({ fuelC: 0 });
		world.pass(1.5);
		world.passUntil(() => world.name === "held", 35);
		wait(world, 900_000);
		expect(world.name).toBe("idle");
	});
});

it("tries to prime that a hold cut short count: no more than three without fuel", () => {
	const world = new World();
	world.set({ flowLph: 0 });
	world.pass(1);
	world.polish();
	for (let time = 0; time < 3; time += 1) {
		const before = world.state.cycle.context.primeTry;
		world.passUntil(() => world.state.cycle.context.primeTry > before && world.state.motorOn, 60);
		world.set({ fuelC: 0 });
		world.pass(1.5);
		world.passUntil(() => world.name === "held", 35);
		world.set({ fuelC: 15 });
		world.pass(1.5);
		wait(world, 610_000);
	}
	world.passUntil(() => world.name === "tripped", 60);
	expect(codes(world)).toEqual(["prime-failed"]);
	const ranS = world.state.totals.run.motorMs / 1000;
	expect(ranS).toBeLessThan(3 * 45);
});

it("the pump's own drop is no low battery: 11.9 V under load is 12 V at rest", () => {
	const world = polishing();
	world.set({ supplyVolts: 11.9 });
	world.pass(120);
	expect(world.name).toBe("polishing");
});

it("an isolator that was open for a quarter of an hour is no low battery", () => {
	const world = polishing();
	world.facts.probeOhm = 20_000;
	world.pass(2);
	world.set({ supplyVolts: 0 });
	world.pass(900);
	world.facts.probeOhm = Number.POSITIVE_INFINITY;
	world.set({ supplyVolts: 12.6 });
	world.pass(10);
	world.facts.armed = "by-button";
	world.holdButton();
	world.passUntil(() => world.name === "polishing", 60);
	expect(world.of("held")).toEqual([]);
});
