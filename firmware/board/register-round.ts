// Registers of the I2C devices, asked one by one from the tick. Stock Firmata reads eight registers
// by itself at most, all in one go, and sees no pulse meanwhile; single questions are short and are
// spread over the line. A full round takes four ticks.
//
//   every tick            current
//   every second tick     volts
//   two a tick, in turn   the converter's inputs

import type { PinMap } from "../config/pins.ts";
import type { FirmataIo } from "./johnny-five.ts";

/** An answer that has not come by then was lost on the line, ms. */
const ASK_AGAIN_MS = 300;
const CONVERTER_INPUTS_A_TICK = 2;
/** So many good answers of a device in a row, before it is believed again. */
const GOOD_ANSWERS = 2;
/**
 * One more than a word has: of two, a question whose register is lost on the line asks for none at
 * all, and the stock image then hangs for good (seen on the emulated board).
 */
const BYTES_ASKED = 3;
const BYTE_MAX = 255;

/** The last raw value of a channel, and when it came. */
export interface Heard {
	raw: number;
	atMs: number;
}

interface Question {
	readonly name: string;
	readonly address: number;
	readonly register: number;
	/** What the word means, in counts. */
	readonly counts: (word: number) => number;
}

interface Device {
	/** Good answers in a row, counted up to the number that is asked for. */
	good: number;
	/** It was not there at its last answer. */
	gone: boolean;
}

export class RegisterRound {
	/** The last word of each channel that was believed, in counts. */
	readonly heard = new Map<string, Heard>();
	private readonly io: FirmataIo;
	private readonly clock: () => number;
	private readonly converter: PinMap["converter"];
	private readonly everyTick: Question[] = [];
	private readonly everySecondTick: Question[] = [];
	private readonly inTurn: Question[] = [];
	private readonly devices = new Map<number, Device>();
	/** Questions without an answer yet, and when they were asked. */
	private readonly open = new Map<string, number>();
	private ticks = 0;
	private turn = 0;
	/** The next answer holds another device's bytes. */
	private tooFew = false;

	/** @param notFitted channels that are never asked */
	constructor(
		io: FirmataIo,
		pins: PinMap,
		clock: () => number,
		notFitted: ReadonlySet<string> = new Set(),
	) {
		this.io = io;
		this.clock = clock;
		this.converter = pins.converter;
		for (const [name, channel] of Object.entries(pins.channels)) {
			if (notFitted.has(name)) continue;
			if (channel.kind === "i2c") {
				const { address, register, signed, shiftRight, unit } = channel;
				const counts = (word: number) =>
					(signed && word >= 0x8000 ? word - 0x10000 : word) >> shiftRight;
				const list = unit === "A" ? this.everyTick : this.everySecondTick;
				list.push({ name, address, register, counts });
			}
			if (channel.kind === "converter") {
				const { address, firstRegister, shiftRight } = pins.converter;
				const register = firstRegister + channel.input;
				this.inTurn.push({ name, address, register, counts: (word) => word >> shiftRight });
			}
		}
		for (const question of this.questions) {
			this.devices.set(question.address, { good: 0, gone: false });
			io.on(replyTo(question), (bytes: readonly number[]) => this.hear(question, bytes));
		}
		// A question that lost its register on the line is answered as register 0, which nobody asks
		// for: the warning before it was about that one.
		for (const address of this.devices.keys()) {
			io.on(replyTo({ address, register: 0 }), () => {
				this.tooFew = false;
			});
		}
		// For an address that is absent this image answers with stale bytes, and says so just before.
		io.on("string", (text: string) => {
			if (text.includes("Too few bytes")) this.tooFew = true;
		});
	}

	/** Switches the bus on and sets the converter up; again after each reset of the board. */
	configure(): void {
		this.open.clear();
		this.tooFew = false;
		if (this.questions.length === 0) return;
		this.io.i2cConfig();
		if (this.inTurn.length > 0) this.setUpConverter();
		for (const device of this.devices.values()) device.good = 0;
	}

	/** Asks what is due in this tick. */
	ask(): void {
		const { everyTick, everySecondTick, inTurn } = this;
		for (const question of everyTick) this.askOne(question);
		if (this.ticks % 2 === 0) for (const question of everySecondTick) this.askOne(question);
		for (let i = 0; i < Math.min(CONVERTER_INPUTS_A_TICK, inTurn.length); i += 1) {
			const question = inTurn[this.turn % inTurn.length];
			this.turn += 1;
			if (question !== undefined) this.askOne(question);
		}
		this.ticks += 1;
	}

	private get questions(): readonly Question[] {
		return [...this.everyTick, ...this.everySecondTick, ...this.inTurn];
	}

	private askOne(question: Question): void {
		const { io, open } = this;
		const { name, address, register } = question;
		const nowMs = this.clock();
		if (nowMs - (open.get(name) ?? Number.NEGATIVE_INFINITY) < ASK_AGAIN_MS) return;
		open.set(name, nowMs);
		// `hear` listens for good. What the io adds for this one question must not pile up on a board
		// that does not answer.
		io.removeListener(replyTo(question), ignore);
		io.i2cReadOnce(address, register, BYTES_ASKED, ignore);
	}

	private hear(question: Question, bytes: readonly number[]): void {
		const { name, address, counts } = question;
		const device = this.devices.get(address);
		if (device === undefined) return;
		const isStale = this.tooFew;
		this.tooFew = false;
		// Anything else has lost bytes on the line, and what is left of it are other numbers.
		if (bytes.length !== BYTES_ASKED || bytes.some((byte) => byte > BYTE_MAX)) return;
		this.open.delete(name);
		if (isStale) {
			device.gone = true;
			device.good = 0;
			return;
		}
		if (device.gone) {
			// It is back, and has lost its set-up if it had lost its supply.
			device.gone = false;
			if (address === this.converter.address) this.setUpConverter();
			return;
		}
		// One good answer between stale ones may be a lost warning.
		if (device.good < GOOD_ANSWERS) device.good += 1;
		if (device.good < GOOD_ANSWERS) return;
		const [high = 0, low = 0] = bytes;
		this.heard.set(name, { raw: counts(high * 256 + low), atMs: this.clock() });
	}

	private setUpConverter(): void {
		const { address, setUp } = this.converter;
		for (const [register, value] of setUp) this.io.i2cWriteReg(address, register, value);
	}
}

/** The io's own name of an answer. */
function replyTo({ address, register }: Pick<Question, "address" | "register">): string {
	return `I2C-reply-${address}-${register}`;
}

const ignore = () => {};
