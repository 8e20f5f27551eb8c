// Wires the emulated board to the rig model by the pin map: sensor voltages, registers, levels and
// pulses in; pump demand, beat, lamps and horn out. The rig is stepped in slices of 10 ms, so that
// every edge reaches it at its own time to that resolution.

import type { Outputs } from "../../firmware/board/port.ts";
import type { PinMap } from "../../firmware/config/pins.ts";
import type { RigModel } from "../rig.ts";
import { Signals } from "../signals.ts";
import { AvrBoard, CYCLES_PER_MS, type PinLevel } from "./avr-board.ts";

const SLICE_MS = 10;

/** An output channel's pin has changed level; `atMs` counts from the board's power-up. */
export type EdgeListener = (channel: string, level: PinLevel, atMs: number) => void;

export class WiredBoard {
	readonly board = new AvrBoard();
	onEdge: EdgeListener = () => {};
	/** Called when the rig has been stepped. */
	onStep: (nowMs: number) => void = () => {};
	private readonly model: RigModel;
	private readonly signals: Signals;
	private readonly outputs = new Map<number, string>();
	private readonly levels = new Map<string, boolean>();
	private readonly pulsePin: number | null = null;
	private readonly inputs: Array<{ name: string; pin: number }> = [];
	private pulses = 0;
	private pulseHigh = false;
	private elapsedMs = 0;

	constructor(model: RigModel, pins: PinMap) {
		this.model = model;
		this.signals = new Signals(model);
		const { board, signals } = this;
		const analog = new Map<number, string>();
		const words = new Map<string, () => number>();
		for (const [name, channel] of Object.entries(pins.channels)) {
			if (channel.kind === "digital-out") this.outputs.set(channel.pin, name);
			else if (channel.kind === "digital-in") this.inputs.push({ name, pin: channel.pin });
			else if (channel.kind === "pulse") this.pulsePin = channel.pin;
			else if (channel.kind === "analog") analog.set(Number(channel.pin.slice(1)), name);
			else {
				const { address, register, perCount, shiftRight } = channel;
				const word = () => Math.round(signals.quantity(name) / perCount) << shiftRight;
				words.set(`${address}/${register}`, () => word() & 0xffff);
				words.set(`${address}/0`, () => 0);
			}
		}
		board.volts = (pin) => {
			const name = analog.get(pin);
			const channel = name === undefined ? undefined : pins.channels[name];
			if (name === undefined || channel === undefined) return 0;
			return signals.share(name, channel) * pins.adc.referenceVolts;
		};
		board.registers = (address, register) => words.get(`${address}/${register}`)?.();
		board.onPin = (pin, level, cycle) => {
			const name = this.outputs.get(pin);
			if (name === undefined) return;
			// A floating pin is held low by its pull-down.
			this.levels.set(name, level === "high");
			this.onEdge(name, level, cycle / CYCLES_PER_MS);
			this.model.drive(this.present());
		};
	}

	get nowMs(): number {
		return this.elapsedMs;
	}

	/** Runs board and rig for one millisecond. */
	runMs(): void {
		this.board.halted = this.model.has("board-stops-answering");
		this.elapsedMs += 1;
		this.board.runTo(this.elapsedMs * CYCLES_PER_MS);
		if (this.elapsedMs % SLICE_MS !== 0) return;
		this.model.step(SLICE_MS / 1000);
		this.onStep(this.elapsedMs);
		for (const { name, pin } of this.inputs) this.board.setInput(pin, this.signals.level(name));
		this.pulse();
	}

	/** One level change of the meter's wire a slice at most: to 50 pulses a second. */
	private pulse(): void {
		if (this.pulsePin === null) return;
		if (this.pulseHigh) {
			this.pulseHigh = false;
			this.board.setInput(this.pulsePin, false);
		} else if (Math.floor(this.signals.pulses()) > this.pulses) {
			this.pulses += 1;
			this.pulseHigh = true;
			this.board.setInput(this.pulsePin, true);
		}
	}

	private present(): Outputs {
		const high = (name: keyof Outputs) => this.levels.get(name) === true;
		return {
			"pump-demand": high("pump-demand"),
			"dead-man-beat": high("dead-man-beat"),
			"lamp-pump": high("lamp-pump"),
			"lamp-trip": high("lamp-trip"),
			horn: high("horn"),
		};
	}
}
