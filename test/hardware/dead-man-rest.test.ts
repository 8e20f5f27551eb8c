// What must never close K2, in ngspice, with the parts that close it soonest: few edges, a level
// that stands, a board that boots, a wire that floats near the mains, a supply that comes, sags,
// surges and bounces. And what must open it: the run timer, and the supply.

import { beforeAll, describe, expect, it } from "vitest";
import { AvrBoard, CYCLES_PER_MS } from "../../sim/emulated-board/avr-board.ts";
import { pins } from "../stories/world.ts";
import { type Bench, beating, type Level, watch } from "./dead-man-bench.ts";
import { READY_S } from "./dead-man-corners.ts";
import { least, limits, most, nominalOf, spreadOf } from "./dead-man-parts.ts";

/**
 * The parts with which K2 closes soonest: the threshold to close at its lowest (R11 and R13 large
 * towards 5 V, R12 small towards 0 V), the pump at its strongest.
 */
const KEEN = {
	...most("c1a", "c1b", "rbleed", "ra", "rh", "bias", "off", "vreg", "dis"),
	...least("c2", "rb", "rpump", "vto", "rcoil", "tdet"),
};
/** No more than this through K2's coil, A: a twentieth of what it pulls in with. */
const REST_AMPS = (0.05 * limits.pullInVolts) / nominalOf("rcoil");
const LOWEST_VOLTS = limits.closeVolts * (1 - limits.closeShare);

const low: Level = { atS: 0, volts: 0 };
const high: Level = { atS: 0, volts: 5.25 };
const floats: Level = { atS: 0, volts: null };

/** K2 stays open, nominal and keen, cold and hot. @returns the reservoir's largest volts */
function expectRest(bench: Bench): number {
	const seen = [{ celsius: 27 }, { celsius: 60, values: KEEN }, { celsius: -10, values: KEEN }].map(
		(corner) => watch({ ...bench, ...corner }),
	);
	for (const { coilMostAmps } of seen) expect(coilMostAmps).toBeLessThan(REST_AMPS);
	return Math.max(...seen.map(({ reservoirMostVolts }) => reservoirMostVolts));
}

it("the comparator closes at 2.0 V ± 5 %, over resistors, regulator and offset", () => {
	const ends = ["least", "most"] as const;
	const volts = ends.map((end) => {
		const other = end === "least" ? "most" : "least";
		const [a, b] = [1 / spreadOf("ra")[other], 1 / spreadOf("rb")[end]];
		const h = 1 / (spreadOf("rh")[other] + spreadOf("rup")[other]);
		return (spreadOf("vreg")[end] * (a + h)) / (a + b + h) + spreadOf("off")[end];
	});
	expect(volts[0]).toBeGreaterThan(LOWEST_VOLTS);
	expect(volts[1]).toBeLessThan(limits.closeVolts * (1 + limits.closeShare));
});

describe("few edges do not close K2", () => {
	it.each([1, 2])("%s in a row, the first rising, however fast", (edges) => {
		for (const periodS of [0.01, 0.1]) {
			const beat = [low, ...beating(READY_S, edges, 5.25, periodS)];
			expect(expectRest({ beat, seconds: READY_S + 2 })).toBeLessThan(LOWEST_VOLTS);
		}
	});

	it("three do with the keenest parts of all, and not with nominal ones", () => {
		const bench = { beat: [low, ...beating(READY_S, 3, 5.25)], seconds: READY_S + 2 };
		expect(watch({ ...bench, values: KEEN, celsius: 60 }).moves.length).toBe(2);
		expect(watch(bench).coilMostAmps).toBeLessThan(REST_AMPS);
	});

	it.each([1, 2])("%s in a row, the first falling", (edges) => {
		const beat = [
			high,
			...beating(READY_S, edges, 5.25).map(({ atS, volts }) => ({
				atS,
				volts: volts === 0 ? 5.25 : 0,
			})),
		];
		expect(expectRest({ beat, seconds: READY_S + 2 })).toBeLessThan(LOWEST_VOLTS);
	});

	it("two, again and again after a pause of a second and a half", () => {
		const beat = [0, 1.5, 3, 4.5].flatMap((atS) => beating(READY_S + atS, 2, 5.25));
		expectRest({ beat: [low, ...beat], seconds: READY_S + 6 });
	});

	it("but a beat does: what stays open here is not a dead circuit", () => {
		const { moves } = watch({ beat: beating(READY_S, 20, 5.25), seconds: 2.5, values: KEEN });
		expect(moves[0]?.closed).toBe(true);
	});
});

describe("what stands or floats does not close K2", () => {
	it.each([
		["low", low],
		["high", high],
		["floating", floats],
	])("a pin that is %s, from before the supply comes", (_, level) => {
		expect(expectRest({ beat: [level], seconds: 5 })).toBeLessThan(LOWEST_VOLTS / 2);
	});

	it("a wire that floats near the mains: 230 V through 10 MΩ and 10 pF", () => {
		expect(expectRest({ beat: [floats], seconds: 3, hum: true })).toBeLessThan(LOWEST_VOLTS / 4);
	});

	it("and with a pull-down of 1 MΩ that wire does: it is the 10 kΩ that keep it quiet", () => {
		const { moves } = watch({
			beat: [floats],
			seconds: 3,
			hum: true,
			values: { ...KEEN, rpull: 1e6 },
		});
		expect(moves[0]?.closed).toBe(true);
	});
});

describe("a board that boots", () => {
	const BOOT_MS = 4_000;
	const traces = new Map<number, Level[]>();
	const levelOf = { low: 0, high: 5.25, floating: null };
	const channel = pins.channels["dead-man-beat"];
	const beatPin = channel?.kind === "digital-out" ? channel.pin : -1;
	const BLINKING_PIN = 13;

	beforeAll(() => {
		for (const pin of [beatPin, BLINKING_PIN]) traces.set(pin, [floats]);
		const board = new AvrBoard();
		board.onPin = (pin, level, cycle) => {
			const atS = cycle / CYCLES_PER_MS / 1_000 + READY_S;
			traces.get(pin)?.push({ atS, volts: levelOf[level] });
		};
		// Twice: power-up, and the reset that opening the port makes.
		for (const untilMs of [BOOT_MS, 2 * BOOT_MS]) {
			board.runTo(untilMs * CYCLES_PER_MS);
			board.holdInReset();
			board.letGo();
		}
	});

	it("drives the beat's pin low and no more, and K2 stays open", () => {
		const trace = traces.get(beatPin) ?? [];
		expect(trace.some(({ volts }) => volts === 0)).toBe(true);
		expect(trace.some(({ volts }) => (volts ?? 0) > 0)).toBe(false);
		const seconds = READY_S + (2 * BOOT_MS) / 1_000;
		expect(expectRest({ beat: trace, seconds })).toBeLessThan(LOWEST_VOLTS / 4);
	});

	it("blinks pin 13, which brings the reservoir up: the beat is never put there", () => {
		const trace = traces.get(BLINKING_PIN) ?? [];
		expect(trace.filter(({ volts }) => (volts ?? 0) > 0).length).toBeGreaterThan(2);
		const seconds = READY_S + (2 * BOOT_MS) / 1_000;
		const { reservoirMostVolts } = watch({ beat: trace, seconds, values: KEEN });
		expect(reservoirMostVolts).toBeGreaterThan(LOWEST_VOLTS / 2);
	});
});

describe("a supply of its own", () => {
	it.each([10, 15])("that comes slowly, fast or bouncing to %s V closes nothing", (volts) => {
		const bounces = Array.from(
			{ length: 20 },
			(_, i): Array<[number, number]> => [
				[i * 0.1 + 0.001, volts],
				[i * 0.1 + 0.05, volts],
				[i * 0.1 + 0.051, 0],
				[i * 0.1 + 0.1, 0],
			],
		).flat();
		for (const beat of [[low], [high], [floats]]) {
			for (const supply of [
				[
					[0, 0],
					[3, volts],
				],
				[
					[0, 0],
					[0.0001, volts],
				],
				[[0, 0], ...bounces],
			]) {
				const timed = supply.map(([atS = 0, up = 0]) => [atS, up] as const);
				expectRest({ beat, supply: timed, seconds: 3.5 });
			}
		}
	});

	it("that sags to 8 V and lower, over and over, closes nothing", () => {
		const supply = [8, 7, 6, 5, 4, 2].flatMap(
			(volts, i): Array<[number, number]> => [
				[1 + i * 0.3, 12],
				[1.01 + i * 0.3, volts],
				[1.15 + i * 0.3, volts],
				[1.16 + i * 0.3, 12],
			],
		);
		for (const beat of [[low], [high]]) {
			expectRest({ beat, supply: [[0, 0], [0.01, 12], ...supply], seconds: 4 });
		}
	});

	it("that sags to 8 V for 0.1 s does not drop K2 while the beat goes on", () => {
		const sag = [
			[2.5, 12],
			[2.51, 8],
			[2.6, 8],
			[2.61, 12],
		] as const;
		const beat = beating(READY_S, 30);
		const { moves } = watch({ beat, supply: [[0, 0], [0.01, 12], ...sag], seconds: 3.6 });
		expect(moves.map(({ closed }) => closed)).toEqual([true]);
	});

	it("that surges to 40 V for 0.4 s closes nothing, and burns nothing behind its clamp", () => {
		const surge = [
			[1, 14],
			[1.005, 40],
			[1.4, 40],
			[1.6, 14],
		] as const;
		for (const beat of [[low], [high]]) {
			expectRest({ beat, supply: [[0, 0], [0.01, 14], ...surge], seconds: 3 });
		}
		const { of } = watch({ beat: [low], supply: [[0, 0], [0.01, 14], ...surge], seconds: 3 });
		expect(Math.max(...(of.v5 ?? []))).toBeLessThan(5.5);
		expect(Math.max(...(of.vin ?? []))).toBeLessThan(30);
	});

	it("that is put on the wrong way round passes nothing", () => {
		const { of, coilMostAmps } = watch({
			beat: [high],
			supply: [
				[0, 0],
				[0.01, -14],
			],
			seconds: 2,
		});
		expect(coilMostAmps).toBeLessThan(REST_AMPS);
		expect(Math.min(...(of.vin ?? []))).toBeGreaterThan(-1);
	});
});

describe("K2 is opened", () => {
	const beat = beating(READY_S, 60);

	it("by the run timer, within 0.1 s, and stays open though the beat goes on", () => {
		for (const corner of [{ celsius: 27 }, { celsius: 60, values: KEEN }]) {
			const { moves } = watch({ ...corner, beat, seconds: 6.5, timerAtS: 4 });
			expect(moves.map(({ closed }) => closed)).toEqual([true, false]);
			expect(moves[1]?.atS).toBeGreaterThan(4);
			expect(moves[1]?.atS).toBeLessThan(4.1);
		}
	});

	it("by the loss of its supply, and closes by the beat alone when that is back", () => {
		const gone = [
			[3, 12],
			[3.001, 0],
			[3.5, 0],
			[3.501, 12],
		] as const;
		const { moves } = watch({ beat, supply: [[0, 0], [0.01, 12], ...gone], seconds: 6.5 });
		expect(moves.map(({ closed }) => closed)).toEqual([true, false, true]);
		expect(moves[1]?.atS).toBeLessThan(3.1);
		// Delay of the reset generators, then a reservoir that fills from nothing.
		expect(moves[2]?.atS).toBeGreaterThan(3.5 + nominalOf("tdet"));
	});
});
