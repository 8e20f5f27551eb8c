// Each fault of the model in a plain polish: the trips that its row promises, and no other; and
// each trip code has a fault that causes it. Rows and reasons: sim/faults.ts.

import { describe, expect, it } from "vitest";
import { tripCodes } from "../../firmware/cycle/trips.ts";
import { runScenario } from "../../sim/bench/runner.ts";
import { scenarioSchema } from "../../sim/bench/scenario.ts";
import { type Fault, type FaultRow, faultRows, faults, invariants } from "../../sim/faults.ts";
import { exampleRig, pins } from "./world.ts";

/** Slow faults need an order that they keep from ending in time. */
const SLOW: readonly Fault[] = ["pump-worn", "cold-snap"];

function scenarioWith(fault: Fault, atSeconds: number) {
	return scenarioSchema.parse({
		title: "one fault",
		invented: true,
		rig: "none",
		seed: 5,
		start: {
			commissioned: true,
			armed: true,
			tube: "port",
			return: "port",
			airC: 14,
			tanks: { port: { fuelLitres: 180, dirtGrams: 20 }, day: { fuelLitres: 80 } },
		},
		orders: [{ atSeconds: 2, polish: { tank: "port", litres: SLOW.includes(fault) ? 900 : 55 } }],
		faults: [{ fault, atSeconds }],
		hoursMax: SLOW.includes(fault) ? 13 : 1.5,
		expect: [{ outcome: "finished" }],
	});
}

const codesOf = (fault: Fault, atSeconds: number): string[] =>
	runScenario(scenarioWith(fault, atSeconds), exampleRig(), pins).records.flatMap((record) =>
		record.kind === "trip" ? [record.code] : [],
	);

const seen = new Map<Fault, Set<string>>();
for (const fault of faults) {
	// Once in mid-run and once before it begins: some faults only show at the start.
	seen.set(fault, new Set([...codesOf(fault, 300), ...codesOf(fault, 0)]));
}

describe.each(faults)("%s", (fault) => {
	const row: FaultRow = faultRows[fault];
	const found = [...(seen.get(fault) ?? [])];

	it("is answered by a trip that its row names, and by no other", () => {
		expect(found.filter((code) => !row.trips.some((named) => named === code))).toEqual([]);
		expect(found.length > 0).toBe(row.trips.length > 0);
	});

	it("says why, where no trip answers", () => {
		expect(row.unseen === undefined).toBe(row.trips.length > 0);
	});

	it("relaxes only invariants that there are, each with a reason", () => {
		for (const [name, why] of Object.entries(row.relaxes ?? {})) {
			expect(invariants).toContain(name);
			expect(why.length).toBeGreaterThan(10);
		}
	});

	it("has a usual size within its range", () => {
		if (row.size === undefined) return;
		expect(row.size.usual).toBeGreaterThanOrEqual(row.size.min);
		expect(row.size.usual).toBeLessThanOrEqual(row.size.max);
	});
});

it("every trip code has a fault that causes it", () => {
	const all = new Set([...seen.values()].flatMap((codes) => [...codes]));
	expect(tripCodes.filter((code) => !all.has(code))).toEqual([]);
});
