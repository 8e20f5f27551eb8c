// A board that speaks as much Firmata as the controller asks of it, on a port that can be pulled
// out. Stands in for board and cable; the io and the board above it are the real ones.

import { EventEmitter } from "node:events";
import type { Transport } from "../../firmware/board/johnny-five.ts";

const OUTPUT = 1;
const START = 0xf0;
const END = 0xf7;
/** A pin's modes with a resolution each: digital without and with PWM, and analog. */
const DIGITAL_PIN = [0, 1, 1, 1, 4, 14, 0x7f];
const PWM_PIN = [0, 1, 1, 1, 3, 8, 4, 14, 0x7f];
const ANALOG_PIN = [0, 1, 1, 1, 2, 10, 0x7f];

/** Speaks as much Firmata as the controller asks of it; its pins are as the image leaves them. */
export class FakeBoard {
	port: FakePort | null = null;
	isThere = true;
	silent = false;
	opened = 0;
	closed = 0;
	/** Lines that were open at the same time, at most. */
	openAtOnce = 0;
	beatHasPwm = false;
	readonly modes = Array<number>(20).fill(OUTPUT);
	readonly levels = Array<number>(20).fill(0);
	readonly inputs = Array<number>(20).fill(0);

	open = async () => {
		if (!this.isThere) throw new Error("no such port");
		this.opened += 1;
		this.openAtOnce = Math.max(this.openAtOnce, this.opened - this.closed);
		const port = new FakePort((bytes) => this.take(bytes, port));
		this.port = port;
		return { transport: port, close: () => this.shut() };
	};

	private shut(): void {
		this.closed += 1;
	}

	pull(): void {
		this.isThere = false;
		this.shut();
		const { port } = this;
		this.port = null;
		port?.emit("close");
	}

	/** A digital input's level; the board says so unless the word is lost. */
	put(pin: number, level: number, { says = true } = {}): void {
		this.inputs[pin] = level;
		if (says) this.sayPort(pin >> 3);
	}

	boot(): void {
		this.modes.fill(OUTPUT);
		this.levels.fill(0);
		this.say([0xf9, 2, 3], [START, 0x79, 2, 3, 0x53, 0, END]);
	}

	say(...messages: number[][]): void {
		for (const message of messages) this.port?.emit("data", Buffer.from(message));
	}

	/** Reports of the analog pins that were asked for. */
	report(): void {
		if (!this.silent) for (let i = 0; i < 4; i += 1) this.say([0xe0 | i, 0, 4]);
	}

	private take(bytes: Buffer, port: FakePort): void {
		if (this.silent || port !== this.port) return;
		const [command = 0, one = 0, two = 0] = bytes;
		if (command === 0xf9) this.say([0xf9, 2, 3]);
		if (command === 0xf4) Object.assign(this.modes, { [one]: two });
		if ((command & 0xf0) === 0x90) {
			const levels = one | (two << 7);
			for (let i = 0; i < 8; i += 1) this.levels[8 * (command & 0xf) + i] = (levels >> i) & 1;
		}
		// Told to report, it says at once what it sees.
		if ((command & 0xf0) === 0xd0 && one === 1) this.sayPort(command & 0xf);
		if (command !== START) return;
		if (one === 0x79) this.say([START, 0x79, 2, 3, 0x53, 0, END]);
		if (one === 0x6b) this.say([START, 0x6c, ...this.capabilities(), END]);
		if (one === 0x69) {
			const channels = this.modes.map((_, pin) => (pin < 14 ? 0x7f : pin - 14));
			this.say([START, 0x6a, ...channels, END]);
		}
		if (one === 0x6d) {
			const state = [this.modes[two] ?? 0, this.levels[two] ?? 0];
			this.say([START, 0x6e, two, ...state, END]);
		}
	}

	private sayPort(port: number): void {
		const bits = this.inputs.slice(8 * port, 8 * port + 8).map((level, i) => level << i);
		const levels = bits.reduce((sum, bit) => sum | bit, 0);
		this.say([0x90 | port, levels & 0x7f, levels >> 7]);
	}

	private capabilities(): number[] {
		return this.modes.flatMap((_, pin) => {
			if (pin >= 14) return ANALOG_PIN;
			return pin === 4 && this.beatHasPwm ? PWM_PIN : DIGITAL_PIN;
		});
	}
}

class FakePort extends EventEmitter implements Transport {
	private readonly take: (bytes: Buffer) => void;

	constructor(take: (bytes: Buffer) => void) {
		super();
		this.take = take;
	}

	write(bytes: Buffer, done?: () => void): boolean {
		this.take(bytes);
		done?.();
		return true;
	}
}
