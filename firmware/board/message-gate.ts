// Lets through what is a whole Firmata message and nothing else, one message at a time. Where the
// line loses bytes, the rest of the message would be read as another one, and of some rests the io
// makes an error that ends the process. Source of the forms: the Firmata protocol, version 2.
// Imports Node and the transport's type.

import { EventEmitter } from "node:events";
import type { Transport } from "./johnny-five.ts";

const COMMAND = 0x80;
const START_SYSEX = 0xf0;
const END_SYSEX = 0xf7;
const REPORT_VERSION = 0xf9;
/** Commands of which the low half is a pin or port: digital and analog message. */
const DIGITAL = 0x90;
const ANALOG = 0xe0;
/** Pins that every ATmega328P board has, as Firmata counts them; no other is asked for. */
const PINS = 20;
/** The longest that is asked for is the list of all pins' modes, some 200 bytes. */
const SYSEX_BYTES_MAX = 1_024;

/** Ids of the sysex messages that anybody here listens to; most carry bytes as two halves each. */
const PIN_STATE = 0x6e;
const ANALOG_MAPPING = 0x6a;
const CAPABILITIES = 0x6c;
const TEXT = 0x71;
const I2C_REPLY = 0x77;
const FIRMWARE = 0x79;
/** Ends a pin's list of modes. */
const END_OF_PIN = 0x7f;

export class MessageGate extends EventEmitter implements Transport {
	private readonly line: Transport;
	private readonly message: number[] = [];
	/** Of the last list of all pins' modes. */
	private pins = 0;
	private hasEnded = false;
	private readonly hear = (bytes: Buffer) => {
		for (const byte of bytes) this.take(byte);
	};

	constructor(line: Transport) {
		super();
		this.line = line;
		line.on("data", this.hear);
	}

	write(bytes: Buffer, done?: () => void): unknown {
		if (!this.hasEnded) return this.line.write(bytes, done);
		done?.();
		return true;
	}

	/** Lets go of the line; an io that goes on by timers of its own writes nothing on it any more. */
	end(): void {
		this.hasEnded = true;
		this.line.removeListener("data", this.hear);
	}

	private take(byte: number): void {
		const { message } = this;
		if (byte >= COMMAND && byte !== END_SYSEX) {
			// A command in the middle of a message: what is here has lost its end.
			message.length = 0;
			if (isCommand(byte)) message.push(byte);
			return;
		}
		// Data without a command: its head is lost.
		if (message.length === 0) return;
		message.push(byte);
		const isSysex = message[0] === START_SYSEX;
		if (isSysex && byte !== END_SYSEX && message.length < SYSEX_BYTES_MAX) return;
		if (!isSysex && byte !== END_SYSEX && message.length < 3) return;
		const whole = this.isWhole(message) ? Buffer.from(message) : null;
		message.length = 0;
		if (whole !== null) this.emit("data", whole);
	}

	private isWhole(message: readonly number[]): boolean {
		const last = message[message.length - 1] ?? 0;
		if (message[0] !== START_SYSEX) return last !== END_SYSEX;
		const [, id] = message;
		if (last !== END_SYSEX || id === undefined || id === END_SYSEX) return false;
		const data = message.slice(2, -1);
		const isInHalves = data.length % 2 === 0;
		if (id === I2C_REPLY) return data.length >= 6 && isInHalves;
		if (id === FIRMWARE) return data.length >= 2 && isInHalves;
		if (id === TEXT) return isInHalves;
		// Pin, mode, and the state in one byte or more.
		if (id === PIN_STATE) return data.length >= 3 && (data[0] ?? PINS) < PINS;
		if (id === ANALOG_MAPPING) return data.length === this.pins;
		if (id !== CAPABILITIES) return false;
		const pins = pinsIn(data);
		this.pins = pins ?? this.pins;
		return pins !== null;
	}
}

function isCommand(byte: number): boolean {
	if (byte === START_SYSEX || byte === REPORT_VERSION) return true;
	const kind = byte & 0xf0;
	return kind === DIGITAL || kind === ANALOG;
}

/** Pins in a list of modes: pairs of mode and resolution, and an end for each; null for no list. */
function pinsIn(list: readonly number[]): number | null {
	let pins = 0;
	let pairs = 0;
	for (const byte of list) {
		if (byte !== END_OF_PIN) pairs += 1;
		else if (pairs % 2 !== 0) return null;
		else {
			pins += 1;
			pairs = 0;
		}
	}
	return pairs === 0 && pins >= PINS ? pins : null;
}
