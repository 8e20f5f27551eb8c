// An io plugin held to the pin map before anything is driven, and what becomes of its readings: a
// plugin of the test's own that answers by calling back, as johnny-five's specification has it, and
// has a bus that throws where nobody answers. A plugin with a real image is in the end-to-end runs.

import { EventEmitter } from "node:events";
import { describe, expect, it } from "vitest";
import { openPluginBoard } from "../../firmware/board/plugin.ts";
import { ALL_OFF } from "../../firmware/board/port.ts";
import { InputError } from "../../firmware/config/input-error.ts";
import { pins } from "./world.ts";

const [INPUT, OUTPUT, ANALOG, PWM] = [0, 1, 2, 3];

class ScriptedPlugin extends EventEmitter {
	isReady = false;
	readonly MODES = { INPUT, OUTPUT, ANALOG, PWM };
	readonly HIGH = 1;
	readonly LOW = 0;
	RESOLUTION = { ADC: 1023 };
	analogPins = [14, 15, 16, 17];
	busIsThere = true;
	readonly pins = Array.from({ length: 18 }, () => ({
		supportedModes: [INPUT, OUTPUT],
		mode: INPUT,
		state: 0,
	}));
	private readonly analog = new Map<number, (counts: number) => void>();

	constructor() {
		super();
		setImmediate(() => {
			this.isReady = true;
			this.emit("connect");
			this.emit("ready");
		});
	}

	pinMode(pin: number, mode: number): void {
		const at = this.pins[pin];
		if (at !== undefined) at.mode = mode;
	}
	digitalWrite(pin: number, level: number): void {
		const at = this.pins[pin];
		if (at !== undefined) at.state = level;
	}
	digitalRead(): void {}
	analogRead(channel: number, heard: (counts: number) => void): void {
		this.analog.set(channel, heard);
	}
	queryPinState(_pin: number, answered: () => void): void {
		answered();
	}
	i2cConfig(): void {}
	i2cWriteReg(): void {
		if (!this.busIsThere) throw new Error("nobody answers");
	}
	i2cReadOnce(_a: number, _r: number, bytes: number, heard: (bytes: number[]) => void): void {
		if (!this.busIsThere) throw new Error("nobody answers");
		heard(Array.from({ length: bytes }, () => 1));
	}
	report(): void {
		for (const heard of this.analog.values()) heard(512);
	}
}

let nowMs = 0;
const open = (plugin: unknown, notFitted: readonly string[] = []) =>
	openPluginBoard({ make: () => plugin, name: "mine", pins, clock: () => nowMs, notFitted });

async function refusal(plugin: unknown, notFitted: readonly string[] = []): Promise<string> {
	const error = await open(plugin, notFitted).catch((thrown: unknown) => thrown);
	return error instanceof InputError ? error.message : "";
}

function changed(change: (plugin: ScriptedPlugin) => void): ScriptedPlugin {
	const plugin = new ScriptedPlugin();
	change(plugin);
	return plugin;
}

const pinOf = (name: string) => {
	const channel = pins.channels[name];
	return channel?.kind === "digital-out" ? channel.pin : 0;
};

describe("a plugin is refused", () => {
	it("for a beat that could go on by itself", async () => {
		const plugin = changed(({ pins: all }) =>
			all[pinOf("dead-man-beat")]?.supportedModes.push(PWM),
		);
		expect(await refusal(plugin)).toBe(
			"plugin mine  dead-man-beat: found pin 4 makes edges by itself; allowed: a pin without PWM",
		);
	});

	it("for another converter than the pin map reckons with", async () => {
		const plugin = changed((made) => {
			made.RESOLUTION = { ADC: 4095 };
		});
		expect(await refusal(plugin)).toContain("RESOLUTION.ADC: found 4095; allowed: 1023");
	});

	it("for pins that it counts in its own way, or cannot drive", async () => {
		const plugin = changed((made) => {
			Object.assign(made, { normalize: (pin: number) => (pin === 7 ? 29 : pin) });
			made.pins[6]?.supportedModes.splice(1);
		});
		const words = await refusal(plugin);
		expect(words).toContain("pump-demand: found pin 7 is counted as 29");
		expect(words).toContain("horn: found pin 6 is no output; allowed: one");
		expect(words.split("\n").length).toBe(2);
	});

	it("for channels that are fitted alone", async () => {
		const plugin = () =>
			changed((made) => {
				made.analogPins = [14, 15, 16];
			});
		expect(await refusal(plugin())).toContain("tray: found 3 analog inputs; allowed: one at A3");
		expect(await refusal(plugin(), ["tray"])).toBe("");
	});

	it("for being none, or for an error before it is ready", async () => {
		expect(await refusal(null)).toContain("plugin mine  found null");
		const failing = changed((made) =>
			made.once("connect", () => made.emit("error", Error("no bus"))),
		);
		expect(await refusal(failing)).toContain("found no bus; allowed: a plugin that is ready");
	});
});

describe("a plugin that fits", () => {
	it("is driven, read back and read", async () => {
		nowMs = 0;
		const plugin = new ScriptedPlugin();
		const board = await open(plugin);
		const pass = (ticks: number) => {
			for (let i = 0; i < ticks; i += 1) {
				nowMs += 100;
				plugin.report();
				board.drive({ ...ALL_OFF, horn: true, "dead-man-beat": i % 2 === 0 });
			}
			return board.read();
		};
		const read = pass(30);
		expect(plugin.pins[pinOf("horn")]).toMatchObject({ mode: OUTPUT, state: 1 });
		expect(plugin.pins[pinOf("pump-demand")]?.state).toBe(0);
		expect(read.board).toEqual({ raw: 1, ageMs: 0 });
		expect(read["beat-mode"]?.raw).toBe(1);
		expect(read.vacuum?.raw).toBe(512);
		expect(read["motor-current"]?.raw).toBe(257);

		// A bus without an answer throws at every question: the tick goes on, the readings grow old.
		plugin.busIsThere = false;
		expect(pass(30)["motor-current"]?.ageMs).toBeGreaterThanOrEqual(2_900);
		expect(board.read().board).toEqual({ raw: 1, ageMs: 0 });

		// An output that another program has taken shows.
		plugin.digitalWrite = () => {};
		plugin.pinMode(pinOf("horn"), INPUT);
		expect(pass(30).board?.raw).toBe(0);
	});
});
