// The rig model against its twin in C: two implementations of one plant must agree. The C library
// and V8 round exp, log and their kin each in its own way, a unit of the last place apart; the
// model must not make more of it. The same comparison finds a twin with one number altered.

import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { advancePlant, createPlant, PlantTwin, stateOf } from "../bench/plant-twin.ts";
import { root } from "../stories/world.ts";

const STEPS = 24_000;
const EVERY = 100;
const RELATIVE = 1e-9;
/**
 * What is left of rounding where the true value is 0: kg, m³, J or what unit the quantity has. The
 * least that any of them reaches beside it, sludge in the bowl's sump, is 2e-9 kg.
 */
const FLOOR = 1e-16;

const scratch = mkdtempSync(join(tmpdir(), "lees-twin-"));
afterAll(() => rmSync(scratch, { recursive: true, force: true }));

const agrees = (one: number, other: number): boolean =>
	(Number.isNaN(one) && Number.isNaN(other)) ||
	Math.abs(one - other) <= FLOOR + RELATIVE * Math.max(Math.abs(one), Math.abs(other));

/** Every value that differs, in words; the model runs once for all comparisons. */
function differences({ names, rows }: ReturnType<PlantTwin["states"]>): string[] {
	return states.flatMap((state, i) => {
		const row = rows[i] ?? [];
		return names.flatMap((name, column) => {
			const [ours, twins] = [state.get(name) ?? Number.NaN, row[column] ?? Number.NaN];
			return agrees(ours, twins) ? [] : [`${name} at step ${(i + 1) * EVERY}: ${ours}, ${twins}`];
		});
	});
}

const plant = createPlant(root);
const states = Array.from({ length: STEPS / EVERY }, (_, i) => {
	for (let n = 0; n < EVERY; n += 1) advancePlant(plant, i * EVERY + n);
	return stateOf(plant);
});

describe("the plant and its C twin", () => {
	it("have the same state to 1e-9 over 40 minutes of pumping, standing and pumping", () => {
		const found = new PlantTwin(root, scratch).states(STEPS, EVERY);
		expect(found.names).toEqual([...stateOf(plant).keys()]);
		expect(found.rows).toHaveLength(states.length);
		expect(differences(found)).toEqual([]);
		// All of that happened: priming dry, flow, water up to the probe, cooling, no overflow.
		const last = states.at(-1);
		expect(last?.get("litresThroughPump")).toBeGreaterThan(40);
		expect(last?.get("dryPumpSeconds")).toBeGreaterThan(1);
		expect(last?.get("waterAtProbeS")).toBeGreaterThan(0);
		expect(last?.get("densityKgM3")).not.toBe(states[0]?.get("densityKgM3"));
	});

	it.each([
		["plant-stores.h", "#define SPIN 4.0", "#define SPIN 4.00001", "mixed.8"],
		[
			"plant-stores.h",
			"#define STIRRED_PER_HOUR 0.04",
			"#define STIRRED_PER_HOUR 0.04001",
			"bulk.8",
		],
		["plant-path.h", "#define REACH_M 0.006", "#define REACH_M 0.0060001", "element.8"],
		["plant-circuit.h", "(128 * liquid", "(128.0001 * liquid", "pumpedM3"],
		["plant-fuel.h", "24 / re", "24.0001 / re", "settlingMps.2"],
		["plant-twin.c", "#define HEATING_S 1800.0", "#define HEATING_S 1800.01", "caseC"],
	])("differ once %s has %s altered", (file, from, to, name) => {
		const folder = mkdtempSync(join(scratch, "altered-"));
		cpSync(join(root, "test/bench"), folder, { recursive: true });
		const text = readFileSync(join(folder, file), "utf8");
		expect(text).toContain(from);
		writeFileSync(join(folder, file), text.replace(from, to));
		const found = differences(new PlantTwin(root, folder, folder).states(STEPS, EVERY));
		expect(found.some((words) => words.startsWith(`${name} `))).toBe(true);
	});
});
