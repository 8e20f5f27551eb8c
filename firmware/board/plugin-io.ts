// An io plugin of johnny-five in the clothes of the Firmata io that the board is written for: what
// such a plugin tells by calling back is told as an event here, and what only a Firmata line needs
// is left out where the plugin has none. Source: the IO plugins' specification of the johnny-five
// project. Imports Node and the io's type.

import { EventEmitter } from "node:events";
import type { FirmataIo } from "./johnny-five.ts";

type Bytes = (bytes: number[]) => void;

/** What a plugin must have; the rest of the io it may have. `pins` is filled by `ready`. */
export interface Plugin extends EventEmitter {
	readonly isReady: boolean;
	readonly pins: FirmataIo["pins"];
	readonly analogPins: readonly number[];
	readonly MODES: FirmataIo["MODES"];
	readonly RESOLUTION?: { readonly ADC?: number | null };
	normalize?(pin: number): number;
	pinMode(pin: number, mode: number): void;
	digitalWrite(pin: number, level: number): void;
	digitalRead(pin: number, heard: (level: number) => void): void;
	analogRead(channel: number, heard: (counts: number) => void): void;
	/** Puts mode and state of a pin, read back, into `pins`, and calls. */
	queryPinState(pin: number, answered: () => void): void;
	i2cConfig(options: object): void;
	i2cReadOnce(address: number, register: number, bytes: number, heard: Bytes): void;
	i2cWriteReg(address: number, register: number, value: number): void;
	reportDigitalPin?(pin: number, on: 0 | 1): void;
	reportAnalogPin?(channel: number, on: 0 | 1): void;
	setSamplingInterval?(ms: number): void;
}

/** What is said unasked, by a plugin that has a line of its own. */
const FORWARDED = ["string", "reportversion", "queryfirmware"] as const;

export class PluginIo extends EventEmitter implements FirmataIo {
	readonly isReady = true;
	readonly versionReceived = true;
	readonly analogPins: readonly number[];
	readonly MODES: FirmataIo["MODES"];
	private readonly plugin: Plugin;
	/** One for each question, so that what is never answered leaves one behind and no more. */
	private readonly hearers = new Map<string, Bytes>();

	constructor(plugin: Plugin) {
		super();
		this.plugin = plugin;
		this.analogPins = plugin.analogPins;
		this.MODES = plugin.MODES;
		for (const event of FORWARDED) {
			plugin.on(event, (...told: unknown[]) => this.emit(event, ...told));
		}
	}

	get pins(): FirmataIo["pins"] {
		return this.plugin.pins;
	}

	pinMode(pin: number, mode: number): void {
		this.plugin.pinMode(pin, mode);
	}

	digitalRead(pin: number, heard: (level: number) => void): void {
		this.plugin.digitalRead(pin, heard);
	}

	analogRead(channel: number, heard: (counts: number) => void): void {
		this.plugin.analogRead(channel, heard);
	}

	reportDigitalPin(pin: number, on: 0 | 1): void {
		this.plugin.reportDigitalPin?.(pin, on);
	}

	reportAnalogPin(channel: number, on: 0 | 1): void {
		this.plugin.reportAnalogPin?.(channel, on);
	}

	setSamplingInterval(ms: number): void {
		this.plugin.setSamplingInterval?.(ms);
	}

	queryPinState(pin: number): void {
		const event = `pin-state-${pin}`;
		const answered = this.hearerOf(event);
		this.plugin.removeListener(event, answered);
		this.plugin.queryPinState(pin, answered as () => void);
	}

	i2cConfig(): void {
		this.plugin.i2cConfig({});
	}

	i2cReadOnce(address: number, register: number, bytes: number): void {
		const event = `I2C-reply-${address}-${register}`;
		const heard = this.hearerOf(event);
		this.plugin.removeListener(event, heard);
		onBus(() => this.plugin.i2cReadOnce(address, register, bytes, heard));
	}

	i2cWriteReg(address: number, register: number, value: number): void {
		onBus(() => this.plugin.i2cWriteReg(address, register, value));
	}

	/** It has said by `ready` all that a line would be asked for. */
	reportVersion(): void {}
	queryFirmware(): void {}
	queryCapabilities(): void {}
	queryAnalogMapping(): void {}

	private hearerOf(event: string): Bytes {
		const known = this.hearers.get(event);
		if (known !== undefined) return known;
		const hearer: Bytes = (told) => this.emit(event, told);
		this.hearers.set(event, hearer);
		return hearer;
	}
}

/** A bus of the computer's own throws where no device answers. Its reading then grows old. */
function onBus(ask: () => void): void {
	try {
		ask();
	} catch {
		// Nobody there: told by the age of what it last said.
	}
}
