// An ATmega328P at 16 MHz that runs the stock StandardFirmata image, its pins by number as the
// board prints them. Registers and timing are avr8js's; the image is read from the npm package
// avrgirl-arduino (none of its code is run). Whole cycles, no clock: who steps it owns the time.

import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { dirname, join } from "node:path";
import {
	ADCMuxInputType,
	AVRADC,
	AVRIOPort,
	AVRTimer,
	AVRTWI,
	AVRUSART,
	adcConfig,
	CPU,
	PinState,
	portBConfig,
	portCConfig,
	portDConfig,
	timer0Config,
	timer1Config,
	timer2Config,
	twiConfig,
	usart0Config,
} from "avr8js";
import { readIntelHex } from "./intel-hex.ts";
import { keepReceivedByte } from "./received-byte.ts";
import { type Loop, RunLoop } from "./run-loop.ts";

export const CPU_HZ = 16_000_000;
export const CYCLES_PER_MS = CPU_HZ / 1000;
/** The bootloader waits so long after a reset, its pins floating (from memory), ms. */
export const BOOTLOADER_MS = 1_000;
/** Memory begins after registers and ports. */
const MEMORY = 0x100;
const FLASH_WORDS = 0x4000;

/** An I2C device with registers. */
export interface I2cDevice {
	/** The two bytes of a register, most significant first. */
	read(register: number): number;
	write(register: number, value: number): void;
}

/** The device at an address; undefined where nothing answers. */
export type I2cBus = (address: number) => I2cDevice | undefined;

/** Clock pulses of a byte and its acknowledgement. */
const BITS_PER_BYTE = 9;

export type PinLevel = "low" | "high" | "floating";

/** What a reset makes anew. */
interface Chip {
	readonly cpu: CPU;
	readonly loop: Loop;
	readonly usart: AVRUSART;
	readonly ports: { readonly b: AVRIOPort; readonly d: AVRIOPort };
}

export class AvrBoard {
	/** A byte that the board has sent over its serial line. */
	onByte: (byte: number) => void = () => {};
	/** A byte begins to come in over it. */
	onByteIn: (byte: number) => void = () => {};
	/** Digital pin 0 to 13 has changed, at that cycle. */
	onPin: (pin: number, level: PinLevel, cycle: number) => void = () => {};
	/** Volts on analog pin A0 to A5. */
	volts: (pin: number) => number = () => 0;
	device: I2cBus = () => undefined;
	/** A hung board executes nothing; its pins keep their levels. */
	halted = false;

	private readonly loopOf: (cpu: CPU) => Loop;
	private readonly program = new Uint16Array(FLASH_WORDS);
	private chip: Chip;
	private readonly levels: PinLevel[] = Array(14).fill("floating");
	private readonly incoming: number[] = [];
	private receiving = false;
	/** Executes nothing before that cycle. */
	private startsAt = 0;

	/** @param loopOf what executes a processor's program */
	constructor(loopOf: (cpu: CPU) => Loop = (cpu) => new RunLoop(cpu)) {
		this.loopOf = loopOf;
		new Uint8Array(this.program.buffer).set(readIntelHex(stockImage(), FLASH_WORDS * 2));
		this.chip = this.makeChip();
	}

	private makeChip(): Chip {
		const cpu = new CPU(this.program);
		const ports = { b: new AVRIOPort(cpu, portBConfig), d: new AVRIOPort(cpu, portDConfig) };
		const usart = new AVRUSART(cpu, usart0Config, CPU_HZ);
		keepReceivedByte(cpu);
		usart.onByteTransmit = (byte) => this.onByte(byte);
		usart.onRxComplete = () => this.feed();
		const adc = new AVRADC(cpu, adcConfig);
		adc.onADCRead = (input) => {
			const channel = input.type === ADCMuxInputType.SingleEnded ? input.channel : 0;
			const counts = Math.floor((this.volts(channel) / adc.avcc) * 1024);
			const bounded = Math.max(0, Math.min(1023, counts));
			cpu.addClockEvent(() => adc.completeADCRead(bounded), adc.sampleCycles);
		};
		const twi = new AVRTWI(cpu, twiConfig, CPU_HZ);
		twi.eventHandler = createI2cBus(cpu, twi, (address) => this.device(address));
		// These hook themselves into the CPU's memory; nothing else refers to them.
		new AVRIOPort(cpu, portCConfig);
		for (const config of [timer0Config, timer1Config, timer2Config]) new AVRTimer(cpu, config);
		ports.d.addListener(() => this.watchPins(ports.d, 0, 8));
		ports.b.addListener(() => this.watchPins(ports.b, 8, 6));
		return { cpu, usart, ports, loop: this.loopOf(cpu) };
	}

	/**
	 * Reset, or without supply, until it is let go: registers and ports as at power-up, pins
	 * floating, memory as it was, which the image's own start clears where it needs it.
	 */
	holdInReset(): void {
		const { cpu } = this.chip;
		this.chip = this.makeChip();
		const fresh = this.chip.cpu;
		fresh.data.set(cpu.data.subarray(MEMORY), MEMORY);
		fresh.cycles = cpu.cycles;
		this.startsAt = Number.POSITIVE_INFINITY;
		this.incoming.length = 0;
		this.receiving = false;
		this.levels.forEach((level, pin) => {
			if (level !== "floating") this.setLevel(pin, "floating");
		});
	}

	/** The reset is over: first the bootloader's pause, then the image. */
	letGo(): void {
		this.startsAt = this.cycles + BOOTLOADER_MS * CYCLES_PER_MS;
	}

	get cycles(): number {
		return this.chip.cpu.cycles;
	}

	/** Sets the level of a digital input pin from outside. */
	setInput(pin: number, high: boolean): void {
		const { b, d } = this.chip.ports;
		if (pin < 8) d.setPin(pin, high);
		else b.setPin(pin - 8, high);
	}

	/** Bytes that arrive over the serial line; they enter at the line's own speed. */
	receive(bytes: Uint8Array): void {
		// A chip that hangs lets its port run over.
		if (this.halted) return;
		this.incoming.push(...bytes);
		if (!this.receiving) this.feed();
	}

	/** Executes up to that cycle. */
	runTo(cycle: number): void {
		const { cpu } = this.chip;
		if (this.halted || cycle <= this.startsAt) {
			cpu.cycles = Math.max(cpu.cycles, cycle);
			return;
		}
		this.chip.loop.runTo(cycle);
	}

	private feed(): void {
		const { usart } = this.chip;
		// A port that is not set up yet takes nothing: what arrives before is lost, as on the wire.
		if (!usart.rxEnable) this.incoming.length = 0;
		const byte = this.incoming.shift();
		this.receiving = byte !== undefined;
		if (byte === undefined) return;
		this.onByteIn(byte);
		usart.writeByte(byte);
	}

	private watchPins(port: AVRIOPort, first: number, count: number): void {
		for (let i = 0; i < count; i += 1) {
			const state = port.pinState(i);
			const level = state === PinState.High ? "high" : state === PinState.Low ? "low" : "floating";
			if (level !== this.levels[first + i]) this.setLevel(first + i, level);
		}
	}

	private setLevel(pin: number, level: PinLevel): void {
		this.levels[pin] = level;
		this.onPin(pin, level, this.cycles);
	}
}

/**
 * A bus of register devices: write one byte to choose the register, then read its two bytes or
 * write on. Each byte takes its time on the wire, in which the image waits and sees no pulse.
 */
function createI2cBus(cpu: CPU, twi: AVRTWI, deviceAt: I2cBus) {
	let device: I2cDevice | undefined;
	let register = 0;
	let written = 0;
	let read = 0;
	const after = (bits: number, done: () => void) => {
		cpu.addClockEvent(done, Math.round((bits * CPU_HZ) / twi.sclFrequency));
	};
	return {
		start: () => after(1, () => twi.completeStart()),
		stop: () => after(1, () => twi.completeStop()),
		connectToSlave: (address: number) => {
			device = deviceAt(address);
			written = 0;
			read = 0;
			const answers = device !== undefined;
			after(BITS_PER_BYTE, () => twi.completeConnect(answers));
		},
		writeByte: (value: number) => {
			if (written === 0) register = value;
			else device?.write(register + written - 1, value);
			written += 1;
			after(BITS_PER_BYTE, () => twi.completeWrite(true));
		},
		readByte: () => {
			const word = device?.read(register) ?? 0xffff;
			const byte = read % 2 === 0 ? word >> 8 : word & 0xff;
			read += 1;
			after(BITS_PER_BYTE, () => twi.completeRead(byte & 0xff));
		},
	};
}

function stockImage(): string {
	const home = dirname(createRequire(import.meta.url).resolve("avrgirl-arduino/package.json"));
	return readFileSync(join(home, "junk/hex/uno/StandardFirmata.cpp.hex"), "utf8");
}
