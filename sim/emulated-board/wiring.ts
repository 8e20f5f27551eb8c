// Wires the emulated board to the rig model by the pin map: sensor voltages, registers, levels and
// pulses in; pump demand, beat, lamps, horn and the probe's two pins out. The rig is stepped in
// slices of 10 ms, so that every edge reaches it at its own time to that resolution.

import { type OutputName, type Outputs, outputNames } from "../../firmware/board/port.ts";
import type { PinMap } from "../../firmware/config/pins.ts";
import { BoardLife } from "../board-life.ts";
import type { RigModel } from "../rig.ts";
import { type Signal, Signals } from "../signals.ts";
import { AvrBoard, CYCLES_PER_MS, type PinLevel } from "./avr-board.ts";
import { createDevices } from "./i2c-devices.ts";

const SLICE_MS = 10;
/** Firmata's set-pin-mode, and two of its modes (its protocol, version 2). */
const SET_PIN_MODE = 0xf4;
const OUTPUT_MODE = 1;
const SERVO_MODE = 4;

/** An output channel's pin has changed level; `atMs` counts from the board's power-up. */
export type EdgeListener = (channel: string, level: PinLevel, atMs: number) => void;

export class WiredBoard {
	readonly board = new AvrBoard();
	onEdge: EdgeListener = () => {};
	/** Called when the rig has been stepped. */
	onStep: (nowMs: number) => void = () => {};
	private readonly model: RigModel;
	private readonly outputs = new Map<number, OutputName>();
	private readonly levels = new Map<OutputName, boolean>();
	private readonly inputs: Array<{ pin: number; signal: Signal }> = [];
	private readonly meter: { readonly pin: number; readonly signal: Signal } | null;
	private readonly beatPin: number | null = null;
	/** The meter's count at the end of the last slice and of this one, and what was sent of it. */
	private countBefore = 0;
	private countNow = 0;
	private sent = 0;
	private pulseHigh = false;
	private forged = false;
	private elapsedMs = 0;
	/** Whether it is plugged in, and what its supply and its reset line do. */
	readonly life: BoardLife;
	private isDark = false;
	private begun = 0;

	/** @param seed of the noise that a faulty sensor makes */
	constructor(model: RigModel, pins: PinMap, seed: number = 0) {
		this.model = model;
		model.emulated = true;
		this.life = new BoardLife(model);
		const signals = new Signals(model, pins, seed);
		const { board } = this;
		const analog = new Map<number, Signal>();
		let meter: WiredBoard["meter"] = null;
		for (const [name, channel] of Object.entries(pins.channels)) {
			const signal = signals.of(name);
			if (channel.kind === "digital-out") this.outputs.set(channel.pin, name as OutputName);
			else if (channel.kind === "digital-in") this.inputs.push({ pin: channel.pin, signal });
			else if (channel.kind === "pulse") meter = { pin: channel.pin, signal };
			else if (channel.kind === "analog") analog.set(Number(channel.pin.slice(1)), signal);
			if (name === "dead-man-beat" && channel.kind === "digital-out") this.beatPin = channel.pin;
		}
		this.meter = meter;
		board.volts = (pin) => (analog.get(pin)?.() ?? 0) * pins.adc.referenceVolts;
		board.device = createDevices(pins, signals);
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
		this.live();
		this.forge();
		this.elapsedMs += 1;
		this.pulse();
		this.board.runTo(this.elapsedMs * CYCLES_PER_MS);
		if (this.elapsedMs % SLICE_MS !== 0) return;
		this.model.step(SLICE_MS / 1000);
		this.onStep(this.elapsedMs);
		for (const { pin, signal } of this.inputs) this.board.setInput(pin, signal() === 1);
		this.countBefore = this.countNow;
		this.countNow = Math.floor(this.meter?.signal() ?? 0);
	}

	/** Supply, reset and hang, as they are now. */
	private live(): void {
		const { board, life } = this;
		const does = life.look();
		board.halted = does === "hangs";
		const isDark = does === "is dark";
		const hasBegun = life.begun !== this.begun;
		if ((isDark && !this.isDark) || (hasBegun && !this.isDark)) board.holdInReset();
		if (!isDark && hasBegun) board.letGo();
		this.isDark = isDark;
		this.begun = life.begun;
	}

	/** The byte that went wrong, as the line brings it: the image does the rest. */
	private forge(): void {
		const { beatPin } = this;
		const forged = this.model.has("beat-forged");
		if (forged === this.forged || beatPin === null) return;
		this.forged = forged;
		const mode = forged ? SERVO_MODE : OUTPUT_MODE;
		this.board.receive(Uint8Array.from([SET_PIN_MODE, beatPin, mode]));
	}

	/** A slice's pulses, evenly over the next one; one level change a ms: to 500 pulses a second. */
	private pulse(): void {
		const { meter, countBefore, countNow, board } = this;
		if (meter === null) return;
		if (this.pulseHigh) {
			this.pulseHigh = false;
			board.setInput(meter.pin, false);
			return;
		}
		const part = (((this.elapsedMs - 1) % SLICE_MS) + 1) / SLICE_MS;
		if (Math.floor(countBefore + (countNow - countBefore) * part) <= this.sent) return;
		this.sent += 1;
		this.pulseHigh = true;
		board.setInput(meter.pin, true);
	}

	private present(): Outputs {
		const levels = outputNames.map((name) => [name, this.levels.get(name) === true]);
		return Object.fromEntries(levels) as Outputs;
	}
}
