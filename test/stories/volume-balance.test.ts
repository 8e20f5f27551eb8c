// Litres of a transfer that do not add up: which way, from how many litres on, and what the
// senders, shapes and meter may be off. And the trip through the public controller.

import { describe, expect, it } from "vitest";
import { createController, STAGES } from "../../firmware/controller.ts";
import type { Moment } from "../../firmware/sense/quantity.ts";
import { imbalanceOf, type Transfer } from "../../firmware/sense/volume-balance.ts";
import { codes, exampleRig, pins, World } from "./world.ts";

const rig = exampleRig();
const [port, starboard, day] = rig.tanks;

/** So many litres out, metered and in. */
const moved = (out: number | null, litres: number, into: number | null): Transfer => ({
	from: port,
	to: starboard,
	fromMoved: out === null ? null : -out / 310,
	toMoved: into === null ? null : into / 310,
	litres,
});

describe("a transfer", () => {
	it.each<[string, Transfer, RegExp]>([
		[
			"that loses half on the way",
			moved(40, 40, 20),
			/40.0 L metered, 20.0 L arrived: look for spilt/,
		],
		["into a tank that is filled from elsewhere", moved(40, 40, 60), /filled from elsewhere/],
		["from a tank with another way out", moved(60, 40, 40), /60.0 L left the tank, 40.0 L metered/],
		["whose tube is elsewhere", moved(0, 40, 40), /is the tube in the tank ordered/],
		["without a sender under the tube", moved(null, 40, 20), /look for spilt fuel/],
		["without a sender at the return", moved(60, 40, null), /another way out/],
	])("%s does not add up", (_, transfer, words) => {
		expect(imbalanceOf(rig, transfer)).toMatch(words);
	});

	it.each<[string, Transfer]>([
		["that has just begun", moved(0, 3.5, 0)],
		["with a meter 2 % off", moved(100, 98, 100)],
		["with a sender 1 % of its tank off", moved(103, 100, 100)],
		["with a tank that holds 3 % less than its file says", moved(206, 200, 200)],
		["of which nothing but the meter tells", moved(null, 200, null)],
	])("%s adds up", (_, transfer) => {
		expect(imbalanceOf(rig, transfer)).toBeNull();
	});

	it("lets a turbine be further off", () => {
		const off = moved(200, 176, 200);
		expect(imbalanceOf(rig, off)).not.toBeNull();
		expect(imbalanceOf({ ...rig, meter: { ...rig.meter, kind: "turbine" } }, off)).toBeNull();
	});

	it("knows each tank's own volume", () => {
		const transfer = { ...moved(31, 31, 0), to: day, toMoved: 31 / 90 };
		expect(imbalanceOf(rig, transfer)).toBeNull();
	});
});

/** The controller as it is while an order moves fuel from port to the day tank. */
function transferring(rig = exampleRig(), levelTo = 0.2): World {
	const asTransfer = (moment: Moment): Moment => ({ ...moment, sameTank: false, toTank: "day" });
	const controller = createController(rig, pins, {
		...STAGES,
		sense: (plan, before, readings, moment) =>
			STAGES.sense(plan, before, readings, asTransfer(moment)),
		find: (plan, before, sensed, moment) => STAGES.find(plan, before, sensed, asTransfer(moment)),
	});
	const world = new World(rig, controller);
	world.set({ levelFrom: 0.6, levelTo });
	world.pass(1);
	world.polish({ litres: 50 });
	world.passUntil(() => world.name === "polishing", 60);
	return world;
}

/** Pumps for so many seconds, of which a share of the flow arrives; how deep that then stands. */
function moves(
	world: World,
	seconds: number,
	arrives: number,
	depthOf: (volumeShare: number) => number = (share) => share,
): void {
	let into = 0.2;
	const litresPerS = world.facts.flowLph / 3600;
	for (let second = 0; second < seconds && world.name === "polishing"; second += 1) {
		into += (arrives * litresPerS) / 90;
		const levelFrom = world.facts.levelFrom - litresPerS / 310;
		world.set({ levelFrom, levelTo: depthOf(into) });
		world.pass(1);
	}
}

describe("through the controller", () => {
	it("a transfer of which a quarter is lost trips before 25 L are", () => {
		const world = transferring();
		moves(world, 1_500, 0.75);
		expect(codes(world)).toEqual(["volume-imbalance"]);
		expect(world.of("trip")[0]?.cause).toMatch(/metered, .* arrived: look for spilt fuel/);
		const litres = (world.of("run-end")[0]?.run.pulses ?? 0) / rig.meter.pulsesPerLitre;
		expect(litres * 0.25).toBeLessThan(6);
	});

	it("one into a tank of another shape is read with that shape", () => {
		const tanks = rig.tanks.map((tank) =>
			tank.name === "day" ? { ...tank, shape: "wedge" as const } : tank,
		);
		const world = transferring({ ...rig, tanks }, Math.sqrt(0.2));
		moves(world, 1_500, 1, Math.sqrt);
		expect(codes(world)).toEqual([]);
	});

	it("one that arrives in full does not", () => {
		const world = transferring();
		moves(world, 1_500, 1);
		expect(codes(world)).toEqual([]);
	});
});
