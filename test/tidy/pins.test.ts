// The pin map: its channel budget, the rules that the board's boot dictates, and the channels that
// the code names.

import { describe, expect, it } from "vitest";
import { readInputFile } from "../../firmware/config/input-file.ts";
import { optionalSensors } from "../../firmware/config/optional-sensors.ts";
import { inputsOf, readPinMap } from "../../firmware/config/pins.ts";
import { createController } from "../../firmware/controller.ts";
import { setpointRows } from "../../firmware/cycle/setpoints.ts";
import { sensorChannels } from "../../sim/sensor-faults.ts";
import { exampleRig, pins, root } from "../stories/world.ts";

const text = readInputFile(`${root}/hardware/pins.yaml`);
const channels = Object.entries(pins.channels);
const refusal = (change: (text: string) => string) => () => readPinMap(change(text), "pins.yaml");

describe("hardware/pins.yaml", () => {
	const ofKind = (kind: string) => channels.filter(([, channel]) => channel.kind === kind);

	it("keeps to the budget: four analog pins, I2C's two left out, and eight inputs", () => {
		expect(pins.adc.pins - pins.adc.pinsForI2c).toBe(4);
		expect(ofKind("analog").length).toBeLessThanOrEqual(4);
		const inputs = channels.flatMap(([, c]) => (c.kind === "converter" ? [c.input] : []));
		expect(inputs.length).toBeLessThanOrEqual(8);
		expect(new Set(inputs).size).toBe(inputs.length);
	});

	it("gives no pin and no register to two channels", () => {
		const { address, firstRegister } = pins.converter;
		const places = channels.map(([, channel]) => {
			if (channel.kind === "converter") return `${address}/${firstRegister + channel.input}`;
			if (channel.kind === "i2c") return `${channel.address}/${channel.register}`;
			return String(channel.pin);
		});
		expect(new Set(places).size).toBe(places.length);
		const devices = new Set(channels.flatMap(([, c]) => (c.kind === "i2c" ? [c.address] : [])));
		expect(devices).not.toContain(address);
	});

	it("keeps what must stop the pump soonest off the bus", () => {
		for (const name of ["stop-loop", "bowl-probe"])
			expect(pins.channels[name]?.kind).toBe("analog");
	});

	it("drives the water probe by two pins of its own, its far end at twice any threshold", () => {
		for (const name of ["probe-plus", "probe-minus"]) {
			expect(pins.channels[name]?.kind).toBe("digital-out");
		}
		const probe = pins.channels["bowl-probe"];
		const bridge = probe?.kind === "analog" ? probe.bridge : undefined;
		const { max } = setpointRows.waterProbeKohm;
		expect(bridge?.endOfLineOhm).toBeGreaterThanOrEqual(2 * max * 1_000);
	});

	it("has a voltage mean one thing", () => {
		for (const [name, channel] of channels) {
			if (channel.kind !== "analog" && channel.kind !== "converter") continue;
			const { loop, bridge, thermistor, gauge, level } = channel;
			const meanings = [loop, bridge, thermistor, gauge, level].filter((one) => one !== undefined);
			expect([name, meanings.length]).toEqual([name, 1]);
		}
	});

	it("has a sensor fault of each kind for every input, and for no other", () => {
		expect(
			inputsOf(pins)
				.map(([name]) => name)
				.sort(),
		).toEqual([...sensorChannels].sort());
	});

	it("has every sensor that a rig may have", () => {
		const names = inputsOf(pins).map(([name]) => name);
		for (const sensor of optionalSensors) expect(names).toContain(sensor);
	});

	it("has every output that the controller drives, and no other", () => {
		const { outputs } = createController(exampleRig(), pins).boot(0);
		const mapped = channels.filter(([, channel]) => channel.kind === "digital-out");
		expect(mapped.map(([name]) => name).sort()).toEqual(Object.keys(outputs).sort());
	});

	it("has every input that the controller reads", () => {
		const names = channels.map(([name]) => name);
		for (const name of [
			"flow-pulse",
			"acknowledge-button",
			"stop-loop",
			"bowl-probe",
			"vacuum",
			"supply-volts",
			"motor-current",
		]) {
			expect(names).toContain(name);
		}
	});

	it.each<[string, (text: string) => string, RegExp]>([
		[
			"a pin used twice",
			(t) => t.replace("pin: 8", "pin: 7"),
			/a pin that pump-demand does not use/,
		],
		["the beat on a PWM pin", (t) => t.replace("pin: 4,", "pin: 5,"), /a pin that has no PWM/],
		["an output on pin 13", (t) => t.replace("pin: 12", "pin: 13"), /at most 12/],
		["the serial line's pin", (t) => t.replace("pin: 2,", "pin: 1,"), /at least 2/],
		[
			"an input without its resistor",
			(t) => t.replace("seriesOhm: 10000,", "seriesOhm: 10,"),
			/at least 1000/,
		],
		["I2C's own pins as analog", (t) => t.replace("pin: A2", "pin: A4"), /A0, A1, A2, A3/],
	])("refuses %s", (_, change, says) => {
		expect(change(text)).not.toBe(text);
		expect(refusal(change)).toThrow(says);
	});
});
