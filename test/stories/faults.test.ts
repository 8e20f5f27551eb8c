// Each fault of the model in a plain polish: the trips that its row promises, and no other; and
// each trip code has a fault that causes it. Rows and reasons: sim/faults.ts, sim/sensor-faults.ts.

import { describe, expect, it } from "vitest";
import type { Rig } from "../../firmware/config/rig.ts";
import { type TripCode, tripCodes } from "../../firmware/cycle/trips.ts";
import { runScenario } from "../../sim/bench/runner.ts";
import { scenarioSchema } from "../../sim/bench/scenario.ts";
import { type Fault, faultRows, faults, invariants } from "../../sim/faults.ts";
import { exampleRig, pins } from "./world.ts";

/** Limits of hours brought into the reach of a test. */
const rig = exampleRig((text) =>
	text.replace("setpoints: {}", "setpoints: { holdHoursMax: 1, timeLimitMinutes: 75 }"),
);

/** What a fault needs to show, beside a plain polish. */
interface Setting {
	readonly why: string;
	readonly rig?: Rig;
	readonly start?: object;
	readonly attended?: true;
	readonly second?: Fault;
	/** What the setting itself is tripped for. */
	readonly own?: readonly TripCode[];
}

const withTap: Setting = {
	why: "the example rig has no tap",
	rig: { ...rig, sensors: [...rig.sensors, "bowl-tap"] },
};
const settings: Readonly<Partial<Record<Fault, Setting>>> = {
	siphon: {
		why: "within one tank nothing runs: the fallen return's end is the lower one",
		second: "return-out",
		own: ["return-out"],
	},
	"vent-shut": {
		why: "only where one tank empties into another does the air have to move",
		rig: { ...rig, sensors: rig.sensors.filter((name) => name !== "level-to") },
		start: { return: "day" },
		attended: true,
		own: ["wrong-tank"],
	},
	"bowl-tap-cut": withTap,
	"bowl-tap-shorted": withTap,
	"bowl-tap-stuck": withTap,
	"bowl-tap-drifts": withTap,
	"bowl-tap-noisy": withTap,
};

function scenarioWith(fault: Fault, atSeconds: number) {
	const { start, attended, second } = settings[fault] ?? {};
	// Somebody confirms now and then, and keeps the story going while the pump is off.
	const crew = [1, 2, 3].map((i) => ({ atSeconds: 600 * i, does: "confirm" }));
	const polish = { tank: "port", litres: 55, attended: attended === true, sweepFirst: false };
	const both = second === undefined ? [fault] : [fault, second];
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
			tanks: { port: { fuelLitres: 180, dirtGrams: 20 }, day: { fuelLitres: 10 } },
			...start,
		},
		orders: [{ atSeconds: 10, polish }],
		faults: both.map((name) => ({ fault: name, atSeconds })),
		crew: settings[fault] === undefined ? [] : crew,
		hoursMax: 1.6,
		expect: [{ outcome: "finished" }],
	});
}

const codesOf = (fault: Fault, atSeconds: number): string[] => {
	const run = runScenario(scenarioWith(fault, atSeconds), settings[fault]?.rig ?? rig, pins);
	const codes = run.records.flatMap((record) => (record.kind === "trip" ? [record.code] : []));
	const others: readonly string[] = settings[fault]?.own ?? [];
	return codes.filter((code) => !others.includes(code));
};

const seen = new Map<Fault, Set<string>>();
for (const fault of faults) {
	// Once in mid-run and once before it begins: some faults only show at the start.
	seen.set(fault, new Set([...codesOf(fault, 300), ...codesOf(fault, 0)]));
}

describe.each(faults)("%s", (fault) => {
	const row = faultRows[fault];
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

/**
 * What no fault causes in the usual world: near-empty and near-full tanks have scenarios, and
 * litres are held against each other in a transfer alone: that has one too.
 */
const byStory: readonly TripCode[] = ["source-low", "destination-full", "volume-imbalance"];

it("every trip code has a fault that causes it, or a story", () => {
	const all = new Set([...seen.values()].flatMap((codes) => [...codes]));
	const missing = tripCodes.filter((code) => !all.has(code));
	expect(missing.filter((code) => !byStory.includes(code))).toEqual([]);
});
