// Transfers and the other goals: what is refused and why, what ends them. Through the real
// controller, with a time variable.

import { describe, expect, it } from "vitest";
import type { Polish, Transfer } from "../../firmware/cycle/order-schemas.ts";
import { orderFrom } from "../../firmware/cycle/orders.ts";
import { mixedRemaining } from "../../sim/physics/dilution.ts";
import { codes, exampleRig, World } from "./world.ts";

const rig = exampleRig();

function refused(ask: (world: World) => void, facts: Partial<World["facts"]> = {}): string[] {
	const world = new World();
	world.set({ levelFrom: 0.6, levelTo: 0.2, ...facts });
	world.pass(2);
	ask(world);
	world.pass(1);
	return world.of("order-refused").flatMap(({ reasons }) => reasons);
}

describe("a transfer is refused", () => {
	const wrong: ReadonlyArray<readonly [string, Partial<Transfer>, RegExp]> = [
		["into its own tank", { to: "port" }, /from port into port moves nothing/],
		["into a tank that is not there", { to: "can" }, /no tank "can"; there are: port/],
		["past the ullage line", { fillToPct: 95 }, /passes its ullage line at 95 %/],
		["beyond the room that is left", { litres: 80 }, /80 L is beyond day: it has room for 65.7 L/],
		["beyond what the source holds", { fromDipLitres: 20, litres: 10 }, /port holds 20.0 L/],
		["by a dip that the tank does not hold", { toDipLitres: 91 }, /91 L is more than day's 90 L/],
		["into a tank that is full", { toDipLitres: 84 }, /day is full/],
	];
	it.each(wrong)("%s", (_, transfer, words) => {
		const reasons = refused((world) => world.transfer(transfer));
		expect(reasons.join("; ")).toMatch(words);
		expect(reasons.length).toBe(1);
	});

	it("where nothing tells how full the other tank is", () => {
		const sensors = rig.sensors.filter((name) => name !== "level-to");
		const world = new World({ ...rig, sensors });
		world.pass(2);
		world.transfer({ attended: true, litres: 10 });
		world.pass(1);
		expect(world.of("order-refused")[0]?.reasons).toEqual([
			"how full day is nobody knows: dip it, or fit level-to",
		]);
		world.transfer({ attended: true, toDipLitres: 20 });
		world.pass(1);
		expect(world.of("order-refused")[1]?.reasons.join()).toMatch(/needs its litres/);
		world.transfer({ attended: true, toDipLitres: 20, litres: 10 });
		world.passUntil(() => world.name === "polishing", 60);
	});
});

describe("a transfer", () => {
	function transferring(transfer: Partial<Transfer> = {}): World {
		const world = new World();
		world.set({ levelFrom: 0.6, levelTo: 0.2 });
		world.pass(2);
		world.transfer(transfer);
		world.passUntil(() => world.name === "polishing", 60);
		return world;
	}

	/** Both levels follow what the meter has counted. */
	function flow(world: World, seconds: number): void {
		for (let i = 0; i < seconds; i += 1) {
			const litres = world.state.totals.run.pulses / rig.meter.pulsesPerLitre;
			world.set({ levelFrom: 0.6 - litres / 310, levelTo: 0.2 + litres / 90 });
			world.pass(1);
		}
	}

	it("ends with its litres", () => {
		const world = transferring({ litres: 10 });
		flow(world, 400);
		expect(world.of("run-end")[0]?.outcome).toBe("finished");
		expect(world.state.totals.run.pulses / 420).toBeCloseTo(10, 1);
		expect(codes(world)).toEqual([]);
	});

	it("ends at its level, two per cent under the line where none is ordered", () => {
		const world = transferring();
		flow(world, 4_000);
		expect(codes(world)).toEqual([]);
		expect(world.of("order")[0]?.order.goalShare).toBe(0.93);
		expect(world.of("run-end")[0]?.outcome).toBe("finished");
		expect(world.facts.levelTo).toBeGreaterThanOrEqual(0.93);
		expect(world.facts.levelTo).toBeLessThan(0.945);
	});

	it("trips when the level passes the ullage line before it has settled at its goal", () => {
		const world = new World();
		world.set({ levelFrom: 0.6, levelTo: 0.92 });
		world.pass(30);
		world.transfer({ fillToPct: 94.9 });
		world.passUntil(() => world.name === "polishing", 60);
		for (let i = 0; i < 60 && world.name === "polishing"; i += 1) {
			world.set({ levelTo: Math.min(0.956, 0.92 + 0.004 * i) });
			world.pass(1);
		}
		expect(codes(world)).toEqual(["destination-full"]);
	});

	it("is armed and taken although the levels of the two tanks differ", () => {
		const world = new World();
		world.set({ levelFrom: 0.9, levelTo: 0.2, armed: "by-button" });
		world.pass(120);
		world.holdButton();
		expect(world.of("armed").length).toBe(1);
		world.polish();
		world.pass(1);
		expect(world.of("order-refused")[0]?.reasons).toEqual([
			"the levels under tube and return differ: are they in one tank?",
		]);
		world.transfer({ litres: 5 });
		world.passUntil(() => world.name === "polishing", 60);
	});

	it("binds the arming to both tanks", () => {
		const world = transferring({ litres: 1 });
		world.passUntil(() => world.of("run-end").length > 0, 100);
		expect(world.state.arming).toMatchObject({ tank: "port", toTank: "day" });
		world.polish();
		world.pass(1);
		expect(world.of("order-refused")[0]?.reasons).toEqual([
			"the plan is armed for port into day: set up and arm again for port",
		]);
	});
});

describe("a polish", () => {
	it("ends with its hours of pumping, rests left out", () => {
		const world = new World(
			exampleRig((text) => text.replace("runMinutesMax: 40", "runMinutesMax: 5")),
		);
		world.pass(1);
		world.polish({ hours: 0.2 });
		world.passUntil(() => world.of("run-end").length > 0, 4_000);
		expect(world.of("run-end")[0]?.run.motorMs).toBe(720_000);
		expect(world.of("state").some(({ to }) => to === "resting")).toBe(true);
	});

	it("is refused with hours that its time limit cuts short", () => {
		const reasons = refused((world) => world.polish({ hours: 12 }), { levelTo: 0.6 });
		expect(reasons).toEqual(["12 h of pumping do not fit the time limit of 12 h"]);
	});

	it("to a dilution pumps the litres that a mixed tank of the rig's efficiency needs", () => {
		// Against the bench's own formula (Levenspiel): exp(-eta n) with n the mixed turnovers.
		const polish: Polish = { tank: "port", targetDilution: 0.05, dipLitres: 180, attended: false };
		const { dilution, goalLitres } = orderFrom("", { polish }, rig);
		const { dirtEfficiency } = rig.element;
		const left = (litres: number, mixing: number) =>
			mixedRemaining(dirtEfficiency, (litres / 180) * mixing);
		expect(left(dilution?.litres ?? 0, rig.sizing.mixingFactor)).toBeCloseTo(0.05, 9);
		expect(left(dilution?.litresLow ?? 0, 1)).toBeCloseTo(0.05, 9);
		expect(left(dilution?.litresHigh ?? 0, 0.3)).toBeCloseTo(0.05, 9);
		expect(goalLitres).toBe(dilution?.litres);
	});
});
