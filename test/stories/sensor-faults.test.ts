// What a broken sensor or wire looks like at the board: each of the five kinds for a loop, the
// probe's bridge, a thermistor, a gauge, pulses, a button and an I2C device.

import { describe, expect, it } from "vitest";
import { ALL_OFF } from "../../firmware/board/port.ts";
import { bitsOf } from "../../firmware/config/pins.ts";
import { type Fault, faultRows } from "../../sim/faults.ts";
import { ModelBoard } from "../../sim/model-board.ts";
import type { RigModel } from "../../sim/rig.ts";
import { sensorChannels, sensorFaults } from "../../sim/sensor-faults.ts";
import { bridgeShare, loopShare, Signals, thermistorShare } from "../../sim/signals.ts";
import { modelOf, pump } from "./rig-world.ts";
import { pins } from "./world.ts";

/** A rig that has pumped for a minute, and one of its channels. */
function running(name: string, model = modelOf()) {
	pump(model, 60);
	const signal = new Signals(model, pins, 7).of(name);
	const series = (ticks: number) =>
		Array.from({ length: ticks }, () => {
			// Two ticks: the beat goes up and down.
			pump(model, 0.2);
			return signal();
		});
	series(2);
	return { model, signal, series };
}

const mean = (values: readonly number[]) => values.reduce((a, b) => a + b, 0) / values.length;
const spread = (values: readonly number[]) => {
	const middle = mean(values);
	return Math.sqrt(mean(values.map((value) => (value - middle) ** 2)));
};

/** The probe driven one way, or the other. */
const driveProbe = (model: RigModel, plus: boolean) =>
	model.drive({ ...ALL_OFF, "probe-plus": plus, "probe-minus": !plus });

describe.each(["tray", "fuel-temperature", "vacuum", "level-from"])("%s", (name) => {
	it("cut reads the whole reference, shorted nothing, and both are mended", () => {
		const { model, signal } = running(name);
		const before = signal();
		model.breaks(`${name}-cut` as Fault);
		expect(signal()).toBe(1);
		model.mends(`${name}-cut` as Fault);
		model.breaks(`${name}-shorted` as Fault);
		expect(signal()).toBe(0);
		model.mends(`${name}-shorted` as Fault);
		expect(signal()).toBe(before);
	});

	it("drifts by its size in % of the reference", () => {
		const { model, signal } = running(name);
		const before = signal();
		model.breaks(`${name}-drifts` as Fault, 6);
		expect(signal() - before).toBeCloseTo(0.06, 9);
		model.mends(`${name}-drifts` as Fault);
		model.breaks(`${name}-drifts` as Fault, -6, 100);
		pump(model, 50);
		const half = signal();
		model.mends(`${name}-drifts` as Fault);
		expect(half - signal()).toBeCloseTo(-0.03, 3);
	});

	it("noisy spreads by its size about the truth, and never beyond the reference", () => {
		const { model, series } = running(name);
		const before = series(1)[0] ?? 0;
		model.breaks(`${name}-noisy` as Fault, 8);
		const noisy = series(600);
		expect(spread(noisy)).toBeGreaterThan(0.06);
		expect(spread(noisy)).toBeLessThan(0.1);
		expect(Math.abs(mean(noisy) - before)).toBeLessThan(0.02);
		expect(Math.min(...noisy)).toBeGreaterThanOrEqual(0);
		expect(Math.max(...noisy)).toBeLessThanOrEqual(1);
	});
});

describe("stuck", () => {
	it("a loop says what it said when it stuck, until it is mended", () => {
		const { model, signal } = running("stop-loop");
		const made = signal();
		model.breaks("stop-loop-stuck");
		signal();
		model.stopPressed = true;
		expect(signal()).toBe(made);
		model.mends("stop-loop-stuck");
		expect(signal()).toBeGreaterThan(made + 0.2);
		// Stuck again, it holds what it says now and not what it held before.
		const open = signal();
		model.breaks("stop-loop-stuck");
		signal();
		model.stopPressed = false;
		expect(signal()).toBe(open);
	});

	it("a thermistor, a gauge and a register of the monitor do too", () => {
		for (const name of ["fuel-temperature", "vacuum", "motor-current"] as const) {
			const { model, series } = running(name);
			model.breaks(`${name}-stuck`);
			const held = series(1)[0];
			model.fuel.celsius += 20;
			pump(model, 100, { on: false });
			expect(new Set(series(20))).toEqual(new Set([held]));
		}
	});

	it("the meter gives no pulse, and goes on from there once mended", () => {
		const { model, signal } = running("flow-pulse");
		const before = signal();
		model.breaks("flow-pulse-stuck");
		pump(model, 60);
		expect(signal()).toBe(before);
		model.mends("flow-pulse-stuck");
		expect(signal()).toBe(before);
		pump(model, 60);
		expect(signal() - before).toBeGreaterThan(500);
	});
});

describe("the water probe", () => {
	const { bridge } = pins.channels["bowl-probe"] as { bridge: Parameters<typeof bridgeShare>[0] };

	it("reads the far end against the drive one way, and turned round the other", () => {
		for (const ohm of [0, 20_000, 300_000, Number.POSITIVE_INFINITY]) {
			const plus = bridgeShare(bridge, ohm, true, false);
			const minus = bridgeShare(bridge, ohm, false, true);
			expect(plus + minus).toBeCloseTo(1, 12);
		}
		// Worked by hand: 22 kΩ in series with 1 MΩ, driven through 180 kΩ.
		expect(bridgeShare(bridge, Number.POSITIVE_INFINITY, true, false)).toBeCloseTo(0.85025, 5);
		expect(bridgeShare(bridge, 0, true, false)).toBeCloseTo(0.108911, 5);
		expect(bridgeShare(bridge, 0, false, false)).toBe(0);
	});

	it("cut follows the pin that drives it; shorted at the box follows the other", () => {
		const { model, signal } = running("bowl-probe");
		for (const plus of [true, false]) {
			driveProbe(model, plus);
			model.breaks("bowl-probe-cut");
			expect(signal()).toBe(plus ? 1 : 0);
			model.mends("bowl-probe-cut");
			model.breaks("bowl-probe-shorted");
			expect(signal()).toBe(plus ? 0 : 1);
			model.mends("bowl-probe-shorted");
		}
	});

	it("stuck does not turn round with the drive", () => {
		const { model, signal } = running("bowl-probe");
		driveProbe(model, true);
		model.breaks("bowl-probe-stuck");
		const held = signal();
		driveProbe(model, false);
		expect(signal()).toBe(held);
	});
});

describe("the meter", () => {
	const pulsesIn = (fault: Fault | null, size?: number, on = true) => {
		const { model, signal } = running("flow-pulse");
		const before = signal();
		if (fault !== null) model.breaks(fault, size);
		for (let i = 0; i < 300; i += 1) {
			pump(model, 0.2, { on });
			signal();
		}
		return signal() - before;
	};

	it("with a cut or shorted wire gives no pulse", () => {
		expect(pulsesIn("flow-pulse-cut")).toBe(0);
		expect(pulsesIn("flow-pulse-shorted")).toBe(0);
	});

	it("drifting gives so many % more or fewer", () => {
		const right = pulsesIn(null);
		expect(pulsesIn("flow-pulse-drifts", -12) / right).toBeCloseTo(0.88, 3);
		expect(pulsesIn("flow-pulse-drifts", 12) / right).toBeCloseTo(1.12, 3);
	});

	it("noisy gives so many a second more, also with the pump off", () => {
		expect(pulsesIn("flow-pulse-noisy", 5) - pulsesIn(null)).toBeCloseTo(300, 0);
		expect(pulsesIn("flow-pulse-noisy", 5, false)).toBeGreaterThan(299);
	});
});

describe("the button", () => {
	it("cut is never pressed, shorted always, noisy now and then", () => {
		const { model, signal, series } = running("acknowledge-button");
		model.buttonPressed = true;
		expect(signal()).toBe(1);
		model.breaks("acknowledge-button-cut");
		expect(signal()).toBe(0);
		model.mends("acknowledge-button-cut");
		model.buttonPressed = false;
		model.breaks("acknowledge-button-shorted");
		expect(signal()).toBe(1);
		model.mends("acknowledge-button-shorted");
		expect(signal()).toBe(0);
		model.breaks("acknowledge-button-noisy", 1);
		const levels = series(300);
		const presses = levels.filter((level, i) => level === 1 && levels[i - 1] === 0).length;
		// One a second for a minute, drawn at random.
		expect(presses).toBeGreaterThan(30);
		expect(presses).toBeLessThan(90);
	});
});

describe("an I2C device", () => {
	const ages = (fault: Fault, names: readonly string[]) => {
		const model = modelOf();
		pump(model, 10);
		const board = new ModelBoard(model, pins, 3);
		board.read(10_000);
		model.breaks(fault);
		const found = [10_100, 12_000].map((nowMs) => board.read(nowMs));
		return names.map((name) => found.map((readings) => readings[name]?.ageMs ?? null));
	};

	it("whose wire is cut gives nothing new on any of its channels; the other one does", () => {
		expect(ages("motor-current-cut", ["motor-current", "supply-volts", "level-from"])).toEqual([
			[100, 2_000],
			[100, 2_000],
			[0, 0],
		]);
		expect(ages("converter-silent", ["motor-current", "tube-seat", "level-from"])).toEqual([
			[0, 0],
			[100, 2_000],
			[100, 2_000],
		]);
	});

	it("that shorts the bus silences both, and the board's own inputs go on", () => {
		expect(ages("supply-volts-shorted", ["motor-current", "level-from", "vacuum"])).toEqual([
			[100, 2_000],
			[100, 2_000],
			[0, 0],
		]);
	});

	it("that never answered is not reported at all", () => {
		const model = modelOf();
		model.breaks("converter-silent");
		const board = new ModelBoard(model, pins, 3);
		expect(board.read(0)["level-from"]).toBeUndefined();
		expect(board.read(5_000)["level-from"]).toBeUndefined();
		expect(board.read(5_000)["supply-volts"]?.ageMs).toBe(0);
	});

	it("drifts and spreads in % of the monitor's range", () => {
		const { model, signal, series } = running("supply-volts");
		const before = signal();
		// 13 bits of 4 mV: 32.8 V.
		model.breaks("supply-volts-drifts", -9);
		expect(signal() - before).toBeCloseTo(-0.09 * 32.768, 6);
		model.mends("supply-volts-drifts");
		model.breaks("supply-volts-noisy", 4);
		expect(spread(series(600))).toBeCloseTo(0.04 * 32.768, 0);
	});
});

describe("what the model board reports", () => {
	it("leaves out what the rig has not fitted", () => {
		const model = modelOf();
		const readings = new ModelBoard(model, pins, 3).read(0);
		expect(model.notFitted).toEqual(["bowl-tap"]);
		expect(readings["bowl-tap"]).toBeUndefined();
		for (const name of sensorChannels.filter((name) => name !== "bowl-tap")) {
			expect(readings[name]?.ageMs).toBe(0);
		}
	});

	it("reads seats, tray and pressure switch made while all is well, else open", () => {
		const model = modelOf();
		const board = new ModelBoard(model, pins, 3);
		const made = (name: string) => {
			const channel = pins.channels[name];
			if (channel?.kind !== "analog" && channel?.kind !== "converter") return null;
			if (channel.loop === undefined) return null;
			const share = (board.read(0)[name]?.raw ?? 0) / 2 ** bitsOf(channel, pins);
			const [low, high] = [loopShare(channel.loop, 0), loopShare(channel.loop, Infinity)];
			return Math.abs(share - low) < 0.01 ? true : Math.abs(share - high) < 0.01 ? false : null;
		};
		const loops = ["tray", "return-seat", "tube-seat", "pressure-switch"];
		pump(model, 60);
		expect(loops.map(made)).toEqual([true, true, true, true]);
		model.breaks("return-shut");
		pump(model, 3);
		expect(made("pressure-switch")).toBe(false);
		model.mends("return-shut");
		model.breaks("hose-off");
		pump(model, 60);
		expect(made("tray")).toBe(false);
		model.breaks("return-out");
		model.breaks("tube-unseated");
		expect(loops.slice(1, 3).map(made)).toEqual([false, false]);
	});

	it("volts of 0 behind an open isolator and a melted fuse", () => {
		const model = modelOf();
		const board = new ModelBoard(model, pins, 3);
		const volts = () => (board.read(0)["supply-volts"]?.raw ?? 0) * 0.004;
		pump(model, 1);
		expect(volts()).toBeGreaterThan(12);
		model.isolatorClosed = false;
		pump(model, 1);
		expect(volts()).toBeLessThan(0.05);
		model.isolatorClosed = true;
		model.supply.fuseMelted = true;
		pump(model, 1);
		expect(volts()).toBeLessThan(0.05);
	});
});

// Source of the thermistor's curve: the B-parameter equation, R = R25 exp(B (1/T - 1/T25)), as in
// the makers' sheets and IEC 60539-1; worked by hand for 10 kΩ, B 3435 K.
it("a thermistor follows its B-parameter", () => {
	const thermistor = { pullUpOhm: 10_000, ohmAt25C: 10_000, betaK: 3_435 };
	expect(thermistorShare(thermistor, 25)).toBeCloseTo(0.5, 12);
	expect(thermistorShare(thermistor, 0)).toBeCloseTo(28_704 / 38_704, 4);
	expect(thermistorShare(thermistor, 80)).toBeCloseTo(1_662 / 11_662, 4);
});

describe("the rows", () => {
	it("each has a row with a size where it can have one", () => {
		for (const fault of sensorFaults) {
			const sized = fault.endsWith("-drifts") || fault.endsWith("-noisy");
			expect(faultRows[fault].size !== undefined).toBe(sized);
		}
	});
});
