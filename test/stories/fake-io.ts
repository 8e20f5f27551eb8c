// An io that answers what a test says: pins with their modes and states, registers, and what the
// line loses. Stands in for firmata-io alone; the board above it is the real one.

import { EventEmitter } from "node:events";
import type { FirmataIo } from "../../firmware/board/johnny-five.ts";

export const OUTPUT = 1;
export interface Asked {
	readonly address: number;
	readonly register: number;
}

/** Answers at once with the level last written, unless the test holds a pin. */
export class FakeIo extends EventEmitter implements FirmataIo {
	readonly isReady = true;
	readonly analogPins = [14, 15, 16, 17, 18, 19];
	readonly versionReceived = true;
	readonly MODES = { INPUT: 0, OUTPUT, ANALOG: 2, PWM: 3 };
	readonly pins: Array<{ mode: number; state: number }> = Array.from({ length: 20 }, () => ({
		mode: OUTPUT,
		state: 0,
	}));
	/** What a pin answers whatever is written to it. */
	readonly held = new Map<number, { mode: number; state: number }>();
	/** Pins whose next write is lost. */
	readonly deaf = new Set<number>();
	silent = false;
	/** Addresses at which nothing answers: the image then warns, and sends the last bytes again. */
	readonly absent = new Set<number>();
	/** The next warning is lost on the line. */
	losesWarning = false;
	/** The next answer is. */
	losesAnswer = false;
	/** Registers asked, and written, since the test last emptied them. */
	asked: Asked[] = [];
	written: Array<readonly [number, number, number]> = [];
	word = 0;
	/** Questions about pins, modes told, and analog channels that report. */
	queries = 0;
	modes: Array<readonly [number, number]> = [];
	readonly reports = new Set<number>();
	private readonly heardAnalog = new Map<number, (counts: number) => void>();
	/** A word and the byte that is asked for beyond it. */
	private last: number[] = [0, 0, 0];

	write(pin: number, high: boolean): void {
		if (!this.deaf.delete(pin)) this.pins[pin] = { mode: OUTPUT, state: high ? 1 : 0 };
	}

	queryPinState(pin: number, answered: () => void): void {
		this.once(`pin-state-${pin}`, answered);
		this.queries += 1;
		if (this.silent) return;
		const held = this.held.get(pin);
		if (held !== undefined) this.pins[pin] = held;
		this.emit(`pin-state-${pin}`);
	}

	/** The image boots: all pins that are not analog are outputs, low, and nothing is reported. */
	reset({ says = true } = {}): void {
		this.reports.clear();
		for (const pin of this.pins) Object.assign(pin, { mode: OUTPUT, state: 0 });
		if (!says) return;
		this.emit("reportversion");
		this.emit("queryfirmware");
	}

	i2cReadOnce(address: number, register: number, _: number, heard: (b: number[]) => void): void {
		this.asked.push({ address, register });
		const reply = `I2C-reply-${address}-${register}`;
		this.once(reply, heard);
		if (this.losesAnswer || this.silent) {
			this.losesAnswer = false;
			return;
		}
		if (!this.absent.has(address)) this.last = [this.word >> 8, this.word & 0xff, 0];
		else if (this.losesWarning) this.losesWarning = false;
		else this.emit("string", "I2C: Too few bytes received");
		this.emit(reply, this.last);
	}

	i2cWriteReg(address: number, register: number, value: number): void {
		this.written.push([address, register, value]);
	}

	pinMode(pin: number, mode: number): void {
		if (mode === this.MODES.ANALOG) return;
		this.modes.push([pin, mode]);
		// The image puts an output low when it is made one.
		this.pins[pin] = { mode, state: 0 };
	}

	reportAnalogPin(channel: number): void {
		this.reports.add(channel);
	}

	/** What the board reports by itself in a tick. */
	report(): void {
		if (this.silent) return;
		for (const channel of this.reports) this.heardAnalog.get(channel)?.(512);
	}

	analogRead(channel: number, heard: (counts: number) => void): void {
		this.heardAnalog.set(channel, heard);
	}
	digitalRead(): void {}
	reportDigitalPin(): void {}
	reportVersion(): void {}
	queryFirmware(): void {}
	queryCapabilities(): void {}
	queryAnalogMapping(): void {}
	setSamplingInterval(): void {}
	i2cConfig(): void {}
}
