// Runs and totals as the archive tells them from the records of a store. The records are those of
// stories through the real controller.

import { describe, expect, it } from "vitest";
import { dateBoots } from "../../host/archive/dating.ts";
import { totalRows } from "../../host/archive/run-rows.ts";
import { runsOf } from "../../host/archive/runs.ts";
import { polishing, World } from "./world.ts";

describe("runs", () => {
	it("a trip after a run's end is not the run's", () => {
		const world = new World();
		world.pass(1);
		world.polish({ litres: 0.5 });
		world.passUntil(() => world.of("run-end").length > 0, 120);
		world.facts.stopPressed = true;
		world.pass(1);
		expect(world.of("trip").length).toBe(1);
		expect(runsOf(world.records)).toMatchObject([{ outcome: "finished", trips: [] }]);
	});

	it("a trip within it is, and litres and hours are those of the records", () => {
		const world = polishing();
		world.pass(30);
		world.facts.flowLph = 0;
		world.pass(10);
		world.stop();
		world.pass(1);
		const [run] = runsOf(world.records);
		expect(run).toMatchObject({ outcome: "stopped", trips: ["dry-run"], order: { tank: "port" } });
		expect(run?.tally).toEqual(world.state.totals.run);
	});

	it("one that has not ended is under way", () => {
		const world = polishing();
		world.pass(10);
		expect(runsOf(world.records)[0]?.outcome).toBe("under way");
	});
});

describe("totals", () => {
	it("are the runs by tank, what ran without an order, and the sum", () => {
		const world = new World();
		world.pass(1);
		for (const tank of ["port", "day", "port"]) {
			world.polish({ tank, litres: 0.5 });
			const ends = world.of("run-end").length;
			world.passUntil(() => world.of("run-end").length > ends, 120);
			// Set up and armed anew: an arming is for one tank.
			world.set({ armed: false });
			world.pass(1);
			world.set({ armed: true });
		}
		world.facts.strayAmps = 1;
		world.pass(40);
		const history = world.records;
		const store = { storeId: "one", history, runs: runsOf(history), dating: dateBoots([], []) };
		const rows = totalRows({ rig: "any", stores: [store], notes: [] }, () => null);
		expect(rows.map(({ of, name, runs }) => [of, name, runs])).toEqual([
			["tank", "day", 1],
			["tank", "port", 2],
			["no order", "no order", 0],
			["element", "element", 3],
			["rig", "rig", 3],
		]);
		const sum = rows.slice(0, 3).reduce((total, row) => total + row.motorHours, 0);
		expect(rows[3]?.motorHours).toBeCloseTo(sum, 12);
		expect(rows[4]?.motorHours).toBeCloseTo(sum, 12);
		expect(rows[2]?.motorHours).toBeGreaterThan(25 / 3600);
	});
});
