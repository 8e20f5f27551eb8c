// The few parts of johnny-five and its Firmata transport that the board uses, typed as narrowly as
// they are used. Both are CommonJS without types of their own for this injection.

import type { EventEmitter } from "node:events";
import { createRequire } from "node:module";

/** A serial line or anything that behaves like one. */
export interface Transport extends EventEmitter {
	write(bytes: Buffer, done?: () => void): unknown;
}

export interface FirmataIo extends EventEmitter {
	readonly isReady: boolean;
	readonly analogPins: readonly number[];
	readonly versionReceived: boolean;
	readonly pins: ReadonlyArray<{
		mode?: number;
		state?: number;
		supportedModes?: readonly number[];
	}>;
	readonly MODES: Readonly<Record<"INPUT" | "OUTPUT" | "ANALOG" | "PWM", number>>;
	reportVersion(heard: () => void): void;
	queryFirmware(heard: () => void): void;
	queryCapabilities(heard: () => void): void;
	queryAnalogMapping(heard: () => void): void;
	pinMode(pin: number, mode: number): void;
	digitalRead(pin: number, heard: (level: number) => void): void;
	analogRead(channel: number, heard: (counts: number) => void): void;
	reportDigitalPin(pin: number, on: 0 | 1): void;
	reportAnalogPin(channel: number, on: 0 | 1): void;
	queryPinState(pin: number, answered: () => void): void;
	setSamplingInterval(ms: number): void;
	i2cConfig(): void;
	i2cReadOnce(address: number, register: number, bytes: number, heard: (b: number[]) => void): void;
	i2cWriteReg(address: number, register: number, value: number): void;
}

/** A johnny-five board; only its `ready` is used. */
export type FiveBoard = EventEmitter;

interface Options {
	readonly board: FiveBoard;
	readonly pin: number;
}

export interface Five {
	readonly Board: new (options: {
		/** Firmata's, or a plugin's own. */
		io: EventEmitter;
		repl: false;
		debug: false;
		sigint: false;
	}) => FiveBoard;
	readonly Relay: new (
		options: Options & { type: "NO" },
	) => {
		open(): void;
		close(): void;
	};
	readonly Led: new (options: Options) => { on(): void; off(): void };
}

export type Firmata = new (transport: Transport) => FirmataIo;

/**
 * Loads both; only when a board is opened, since they cost 100 ms of start-up each. Of johnny-five
 * the parts that are used: a screen, a servo and thirty others would stay in memory.
 */
export function loadFive(): { five: Five; Firmata: Firmata } {
	const load = createRequire(import.meta.url);
	const part = (name: string) => load(`johnny-five/lib/${name}`);
	const five = { Board: part("board"), Relay: part("relay"), Led: part("led/led") } as Five;
	return { five, Firmata: load("firmata-io").Firmata as Firmata };
}
