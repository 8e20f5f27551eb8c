// The interlock's rules as a table: each lets pass at its mark and vetoes one millisecond past it.
// The marks stand here a second time, as the numbers that the hazard analysis counts on.

import { describe, expect, it } from "vitest";
import { INTERLOCK, interlock, interlockRules } from "../../firmware/interlock.ts";
import type { Sensed } from "../../firmware/sense/sensed.ts";
import { wellSensed as well } from "../stories/well.ts";

const FREE = { holding: false };
const HELD = { holding: true };

type Past = (typeof interlockRules)[number][0];

const marks: ReadonlyArray<readonly [Past, number, string]> = [
	["stopUnknownMs", 3_500, "sensor-fault"],
	["probeWetMs", 2_000, "water-in-bowl"],
	["probeUnknownMs", 3_500, "sensor-fault"],
	["trayWetMs", 3_000, "leak"],
	["returnOutMs", 2_000, "return-out"],
	["overFullMs", 10_000, "destination-full"],
	["lowFlowMs", 60_000, "dry-run"],
	["overAmpsMs", 3_000, "overcurrent"],
	["overHotMs", 10_000, "motor-hot"],
	["overVoltsMs", 3_000, "supply-high"],
	["underVoltsMs", 8_000, "supply-low"],
	["overVacuumMs", 60_000, "restriction-high"],
	["pumpOnMs", 14_280_000, "time-limit"],
];

const at = (change: Partial<Sensed>): Sensed => ({ ...well, ...change });

describe("each rule", () => {
	it.each(marks)("%s over %i ms is %s", (past, msMax, code) => {
		expect(interlock(true, at({ [past]: msMax }), FREE)).toEqual({ allow: true, memory: FREE });
		const { allow, memory, veto } = interlock(true, at({ [past]: msMax + 1 }), FREE);
		expect({ allow, memory, code: veto?.code }).toEqual({ allow: false, memory: HELD, code });
		expect(veto?.cause).toMatch(/^interlock: \w/);
	});

	it("has its row above, and there is no other", () => {
		expect(interlockRules.map(([past]) => past)).toEqual(marks.map(([past]) => past));
	});

	it("says in words of its own what is wrong", () => {
		expect(new Set(interlockRules.map(([, , , cause]) => cause)).size).toBe(marks.length);
	});
});

describe("the stop button", () => {
	it("vetoes in the tick in which it is pressed, whatever else is wrong", () => {
		const veto = { code: "stop-button", cause: "interlock: the stop button is pressed" };
		for (const change of [{}, { probeWetMs: 9_999 }]) {
			const verdict = interlock(true, at({ ...change, stop: "broken" }), FREE);
			expect(verdict).toEqual({ allow: false, memory: HELD, veto });
		}
	});

	it("vetoes nothing while it is released", () => {
		expect(interlock(true, well, FREE)).toEqual({ allow: true, memory: FREE });
	});
});

describe("its one bit of memory", () => {
	it("holds the pump off while the demand stays, without a second veto", () => {
		expect(interlock(true, well, HELD)).toEqual({ allow: false, memory: HELD });
		const bad = at({ stop: "broken" });
		expect(interlock(true, bad, HELD)).toEqual({ allow: false, memory: HELD });
	});

	it("is cleared when the demand is false, and by nothing else", () => {
		expect(interlock(false, well, HELD)).toEqual({ allow: false, memory: FREE });
		expect(interlock(false, at({ stop: "broken" }), HELD)).toEqual({ allow: false, memory: FREE });
	});

	it("does not veto a pump that nobody demands", () => {
		expect(interlock(false, at({ stop: "broken" }), FREE)).toEqual({ allow: false, memory: FREE });
	});
});

it("no limit of time is endless, and none is zero", () => {
	for (const [name, limit] of Object.entries(INTERLOCK)) {
		expect(Number.isFinite(limit) && limit > 0, name).toBe(true);
	}
});
