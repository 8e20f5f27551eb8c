// The pin map: its channel budget, the rules that the board's boot dictates, and the channels that
// the code names.

import { describe, expect, it } from "vitest";
import { readInputFile } from "../../firmware/config/input-file.ts";
import { readPinMap } from "../../firmware/config/pins.ts";
import { createController } from "../../firmware/controller.ts";
import { exampleRig, pins, root } from "../stories/world.ts";

const text = readInputFile(`${root}/hardware/pins.yaml`);
const channels = Object.entries(pins.channels);
const refusal = (change: (text: string) => string) => () => readPinMap(change(text), "pins.yaml");

describe("hardware/pins.yaml", () => {
	it("keeps to the board's analog pins, I2C's two left out", () => {
		const used = channels.filter(([, channel]) => channel.kind === "analog").length;
		expect(used).toBeLessThanOrEqual(pins.adc.pins - pins.adc.pinsForI2c);
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
			(t) => t.replace("seriesOhm: 1000,", "seriesOhm: 10,"),
			/at least 1000/,
		],
		["I2C's own pins as analog", (t) => t.replace("pin: A2", "pin: A4"), /A0, A1, A2, A3/],
	])("refuses %s", (_, change, says) => {
		expect(change(text)).not.toBe(text);
		expect(refusal(change)).toThrow(says);
	});
});
