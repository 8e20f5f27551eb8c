// The I2C devices that the board finds on its bus: the current monitor and the converter, their
// registers filled from the rig's signals by the pin map. A register that does not exist reads 0.

import type { PinMap } from "../../firmware/config/pins.ts";
import type { Signal, Signals } from "../signals.ts";
import type { I2cBus, I2cDevice } from "./avr-board.ts";

const WORD = 0xffff;

/** The bus of a rig; an address answers unless its device is silent. */
export function createDevices(pins: PinMap, signals: Signals): I2cBus {
	const devices = new Map<number, I2cDevice>();
	const monitors = new Map<number, Map<number, () => number>>();
	const inputs = new Map<number, Signal>();
	for (const [name, channel] of Object.entries(pins.channels)) {
		if (channel.kind === "converter") {
			inputs.set(pins.converter.firstRegister + channel.input, signals.of(name));
		}
		if (channel.kind !== "i2c") continue;
		const { address, register, perCount, shiftRight, signed } = channel;
		const signal = signals.of(name);
		const [least, most] = rangeOf(shiftRight, signed);
		const word = () => {
			const counts = Math.round(signal() / perCount);
			return (Math.max(least, Math.min(most, counts)) << shiftRight) & WORD;
		};
		const words = monitors.get(address) ?? new Map<number, () => number>();
		monitors.set(address, words.set(register, word));
	}
	for (const [address, words] of monitors) {
		devices.set(address, { read: (register) => words.get(register)?.() ?? 0, write: () => {} });
	}
	const converter = new Converter(pins.converter, inputs);
	devices.set(pins.converter.address, converter);
	return (address) => {
		if (!signals.isSilent(address)) return devices.get(address);
		if (address === pins.converter.address) converter.loseSupply();
		return undefined;
	};
}

/** Least and most counts that a word holds above its flag bits. */
function rangeOf(shiftRight: number, signed: boolean): [number, number] {
	const counts = 2 ** (16 - shiftRight);
	return signed ? [-counts / 2, counts / 2 - 1] : [0, counts - 1];
}

/** Converts all inputs continuously once every register of its set-up holds what it must. */
class Converter implements I2cDevice {
	private readonly map: PinMap["converter"];
	private readonly inputs: ReadonlyMap<number, Signal>;
	private readonly written = new Map<number, number>();

	constructor(map: PinMap["converter"], inputs: ReadonlyMap<number, Signal>) {
		this.map = map;
		this.inputs = inputs;
	}

	read(register: number): number {
		const signal = this.inputs.get(register);
		if (signal === undefined || !this.converts) return 0;
		const { bits, shiftRight } = this.map;
		const counts = Math.floor(signal() * 2 ** bits);
		return Math.max(0, Math.min(2 ** bits - 1, counts)) << shiftRight;
	}

	write(register: number, value: number): void {
		this.written.set(register, value);
	}

	/** Its plug carries its supply too: it wakes up without a set-up. */
	loseSupply(): void {
		this.written.clear();
	}

	private get converts(): boolean {
		const last = new Map(this.map.setUp);
		return [...last].every(([register, value]) => this.written.get(register) === value);
	}
}
