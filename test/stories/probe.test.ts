// The water probe by itself: what it makes of every resistance against Ohm's law, read both ways;
// of cut and shorted wires, of a converter that is stuck at any count, of silence. And how it is
// driven: no way shorter than 50 ms, no report used that was taken before the way was changed.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Bridge } from "../../firmware/config/pins.ts";
import { setpointRows } from "../../firmware/cycle/setpoints.ts";
import {
	PHASE_MS,
	type ProbeState,
	probeAtBoot,
	readProbe,
} from "../../firmware/sense/bowl-probe.ts";
import { pins } from "./world.ts";

const SEED = 20_261_125;
const BITS = 10;
const COUNTS_MAX = 2 ** BITS - 1;
const { min, preset, max } = setpointRows.waterProbeKohm;

function bridgeOfPins(): Bridge {
	const channel = pins.channels["bowl-probe"];
	if (channel?.kind !== "analog" || channel.bridge === undefined) throw new Error("no bridge");
	return channel.bridge;
}

const bridge = bridgeOfPins();

/**
 * Counts by Ohm's law: one current through drive resistor, wire and far end; the input's voltage is
 * the drop over all but the drive resistor, from whichever pin is low. Reference of 1 V.
 */
function countsOf(waterOhm: number, plus: boolean): number {
	const { driveOhm, seriesOhm, endOfLineOhm } = bridge;
	const farOhm = seriesOhm + 1 / (1 / waterOhm + 1 / endOfLineOhm);
	const amps = 1 / (driveOhm + farOhm);
	const volts = plus ? amps * farOhm : amps * driveOhm;
	return Math.round(volts * COUNTS_MAX);
}

interface Drive {
	readonly raw: (plus: boolean, nowMs: number) => number | null;
	readonly thresholdKohm?: number;
	readonly tickMs?: number;
	readonly ageMs?: number;
}

/** Reads for so long; one state a tick. */
function* reading(before: ProbeState, fromMs: number, forMs: number, drive: Drive) {
	const { raw, thresholdKohm = preset, tickMs = 100, ageMs = 0 } = drive;
	let state = before;
	for (let nowMs = fromMs + tickMs; nowMs <= fromMs + forMs; nowMs += tickMs) {
		const value = raw(state.plus, nowMs);
		const report = value === null ? undefined : { raw: value, ageMs };
		state = readProbe(state, report, bridge, BITS, thresholdKohm, nowMs);
		yield { state, nowMs };
	}
}

function after(before: ProbeState, fromMs: number, forMs: number, drive: Drive): ProbeState {
	let last = before;
	for (const { state } of reading(before, fromMs, forMs, drive)) last = state;
	return last;
}

const water = (ohm: number): Drive => ({ raw: (plus) => countsOf(ohm, plus) });
const DRY_FROM_MS = 2_000;
/** A probe that has read dry for two seconds. */
const dry = () => after(probeAtBoot(0), 0, DRY_FROM_MS, water(Number.POSITIVE_INFINITY));

describe("resistance between the pins", () => {
	const ohms = Array.from({ length: 75 }, (_, i) => 100 * 10 ** (i / 20)).filter(
		(ohm) => ohm <= 500_000,
	);

	it.each([min, preset, max])("from 100 Ω to 500 kΩ is wet below %s kΩ and dry above", (kohm) => {
		for (const ohm of [...ohms, 500_000]) {
			const drive = { ...water(ohm), thresholdKohm: kohm };
			const { value, plusWay, minusWay } = after(probeAtBoot(0), 0, 3_000, drive);
			// One count is up to 1 % of the resistance near these thresholds.
			if (Math.abs(ohm / 1000 - kohm) < 0.02 * kohm) continue;
			const expected = ohm / 1000 < kohm ? "wet" : "dry";
			expect({ ohm, value, plusWay, minusWay }).toEqual({
				ohm,
				value: expected,
				plusWay: expected,
				minusWay: expected,
			});
		}
	});

	// Ω = cell constant, 1/cm, over conductivity, S/cm: its definition. Conductivities from memory.
	it.each([
		["nothing at all", Number.POSITIVE_INFINITY, "dry"],
		["pins that touch", 1e-6, "wet"],
		["condensate near 10 µS/cm: 100 kΩ with a cell constant of 1 per cm", 100_000, "wet"],
		["sea water near 50 mS/cm: 20 Ω with the same cell", 20, "wet"],
	])("%s", (_, ohm, value) => {
		expect(after(dry(), DRY_FROM_MS, 1_000, water(ohm)).value).toBe(value);
	});

	it("is found wet within half a second of the water's coming, whatever the phase", () => {
		for (let offsetMs = 0; offsetMs < 400; offsetMs += 20) {
			const start = after(dry(), DRY_FROM_MS, offsetMs, {
				...water(Number.POSITIVE_INFINITY),
				tickMs: 20,
			});
			const fromMs = DRY_FROM_MS + offsetMs;
			expect(after(start, fromMs, 500, { ...water(20_000), tickMs: 20 }).value).toBe("wet");
		}
	});
});

describe("a wire that is at fault", () => {
	it("cut reads open: the input hangs on the pin that drives it", () => {
		const cut: Drive = { raw: (plus) => (plus ? COUNTS_MAX : 0) };
		expect(after(dry(), DRY_FROM_MS, 1_000, cut).value).toBe("open");
	});

	it("shorted at the box reads short: the input hangs on the other pin", () => {
		const shorted: Drive = { raw: (plus) => (plus ? 0 : COUNTS_MAX) };
		expect(after(dry(), DRY_FROM_MS, 1_000, shorted).value).toBe("short");
	});

	it.each([min, preset, max])(
		"a converter stuck at any count is never dry for longer than 1.4 s, at %s kΩ",
		(thresholdKohm) => {
			const before = dry();
			const believed: number[] = [];
			for (let count = 0; count <= COUNTS_MAX; count += 1) {
				const drive: Drive = { raw: () => count, thresholdKohm };
				for (const { state, nowMs } of reading(before, DRY_FROM_MS, 5_000, drive)) {
					if (nowMs - DRY_FROM_MS > 1_400 && state.value === "dry") {
						believed.push(count);
						break;
					}
				}
			}
			expect(believed).toEqual([]);
		},
	);

	it("one way wet and the other dry is neither: it stands for a moment, then it is unlike", () => {
		const oneWay: Drive = { raw: (plus) => countsOf(plus ? 20_000 : 1e9, plus) };
		const seen = [...reading(dry(), DRY_FROM_MS, 3_000, oneWay)];
		const first = seen.find(({ state }) => state.value !== "dry");
		expect(first?.state.value).toBe("unlike");
		expect((first?.nowMs ?? 0) - DRY_FROM_MS).toBeLessThanOrEqual(1_300);
		expect(seen.at(-1)?.state.value).toBe("unlike");
	});

	it.each([-1, COUNTS_MAX + 1, Number.NaN, Number.POSITIVE_INFINITY])(
		"a count of %s is out of range",
		(count) => {
			const { value } = after(dry(), DRY_FROM_MS, 2_000, { raw: () => count });
			expect(value).toBe("out-of-range");
		},
	);
});

describe("silence", () => {
	it("is no value after 0.7 s, and none before it first speaks", () => {
		const mute: Drive = { raw: () => null };
		expect(after(dry(), DRY_FROM_MS, 500, mute).value).toBe("dry");
		expect(after(dry(), DRY_FROM_MS, 1_000, mute).value).toBe("not-fitted");
		expect(probeAtBoot(0).value).toBe("stale");
	});

	it.each([1_100, 60_000])("a report %s ms old is none", (ageMs) => {
		const old = { ...water(Number.POSITIVE_INFINITY), ageMs };
		expect(after(dry(), DRY_FROM_MS, 1_000, old).value).toBe("stale");
	});

	it("reports that are always of the way before are none either", () => {
		// Older than the way has been held, at each tick: nothing was measured this way.
		let state = dry();
		for (let nowMs = DRY_FROM_MS + 100; nowMs <= DRY_FROM_MS + 900; nowMs += 100) {
			const report = { raw: countsOf(1e9, state.plus), ageMs: nowMs - state.phaseSinceMs };
			state = readProbe(state, report, bridge, BITS, preset, nowMs);
		}
		expect(state.value).toBe("stale");
	});

	it("dry from a boot takes both ways", () => {
		const seen = [...reading(probeAtBoot(0), 0, 1_000, water(Number.POSITIVE_INFINITY))];
		const first = seen.find(({ state }) => state.value === "dry");
		expect(first?.nowMs).toBeGreaterThanOrEqual(2 * PHASE_MS);
	});
});

describe("how it is driven", () => {
	it("a report is used when it was taken 60 ms or more after the change, not sooner", () => {
		const before = dry();
		const at = before.phaseSinceMs + PHASE_MS;
		const taken = (sinceChangeMs: number) => {
			const report = { raw: countsOf(20_000, before.plus), ageMs: PHASE_MS - sinceChangeMs };
			return readProbe(before, report, bridge, BITS, preset, at);
		};
		expect(taken(59)).toBe(before);
		expect(taken(60).plus).toBe(!before.plus);
	});

	it("each way lasts 50 ms and more, and both last equally long, at any pace of ticks", () => {
		const pace = fc.array(fc.integer({ min: 10, max: 500 }), { minLength: 100, maxLength: 200 });
		fc.assert(
			fc.property(pace, (steps) => {
				let state = probeAtBoot(0);
				let nowMs = 0;
				let changedMs = 0;
				for (const step of steps) {
					nowMs += step;
					const report = { raw: countsOf(1e9, state.plus), ageMs: 0 };
					const next = readProbe(state, report, bridge, BITS, preset, nowMs);
					if (next.plus !== state.plus) {
						expect(nowMs - changedMs).toBeGreaterThanOrEqual(50);
						changedMs = nowMs;
					}
					state = next;
				}
			}),
			{ seed: SEED, numRuns: 50 },
		);
		const held = [...reading(probeAtBoot(0), 0, 60_000, water(1e9))];
		const plus = held.filter(({ state }) => state.plus).length / held.length;
		expect(plus).toBeCloseTo(0.5, 2);
	});
});
