// Test-only io plugin: firmata-io's own class on the emulated board's port, so that a plugin is
// played by a real one and a real image. `options.port` is its serial port; `options.lacks` takes
// something away, as a small computer's own pins have it.

import { createRequire } from "node:module";
import { SerialPort } from "serialport";

const { Firmata } = createRequire(import.meta.url)("firmata-io");

interface Options {
	readonly port: string;
	readonly lacks?: "analog" | "read-back" | "ready";
}

export default class FirmataPlugin extends Firmata {
	constructor({ port, lacks }: Options) {
		super(new SerialPort({ path: port, baudRate: 57_600 }));
		if (lacks === "read-back") this.queryPinState = undefined;
		if (lacks === "ready") throw new Error("no such chip");
		if (lacks === "analog") this.once("ready", () => this.analogPins.splice(0));
	}
}
