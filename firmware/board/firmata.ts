// A stock Firmata board over a serial line, through johnny-five. Inputs are kept with the time at
// which they were last heard; outputs are proven by asking the board for each pin's mode and state,
// one pin a tick, which is also the heartbeat: a board that does not answer grows old by itself.
// One that begins anew, is heard again after a silence, or whose line was opened anew is told again
// what each pin is for.
//
//   Transport (serialport) <-> gate <-> Firmata io <-> johnny-five Relay, Led
//        ^ injected (opening.ts)           |-> digitalRead, analogRead, queryPinState
//                                          \-> i2cReadOnce (register-round.ts)

import type { Channel, PinMap } from "../config/pins.ts";
import type { FirmataIo } from "./johnny-five.ts";
import { BEGUN_SHOWS_MS, WRONG_ANSWERS } from "./patience.ts";
import type { Board, OutputName, Outputs, Reading, Readings } from "./port.ts";
import { type Heard, RegisterRound } from "./register-round.ts";

/** Stock Firmata reports analog pins at this pace, ms; under 10 it is silently 10. */
const SAMPLING_MS = 50;
/** An answer that has not come by then was lost on the line, ms. */
const ASK_AGAIN_MS = 1_000;
/** After so long without an answer nobody knows what became of the board's set-up, ms. */
const SILENT_MS = 2_000;
/** The set-up of the inputs is looked at so often, ms: one pin's mode each time. */
const LOOK_MS = 1_000;
export const BEAT = "dead-man-beat";

/** What drives each output: its pin, and the johnny-five part that suits it. */
export type Drives = Map<
	OutputName,
	{ readonly pin: number; readonly drive: (high: boolean) => void }
>;

export class FirmataBoard implements Board {
	private readonly io: FirmataIo;
	private readonly clock: () => number;
	private readonly drives: Drives;
	private readonly order: OutputName[];
	private readonly inputs: ReadonlyArray<readonly [string, Channel]>;
	private readonly heard = new Map<string, Heard>();
	private readonly registers: RegisterRound;
	/** Channels that report only when they change: as fresh as the board's last answer. */
	private readonly onChange = new Set<string>();
	private readonly levels = new Map<OutputName, boolean>();
	private answeredMs: number;
	/** When the beat's pin last answered; null before it ever did. */
	private beatAnsweredMs: number | null = null;
	/** Answers of the beat's pin in a row with another mode than a plain output's. */
	private wrongModes = 0;
	private turn = 0;
	/** When the board last said that it has begun anew, and whether it must still be set up. */
	private begunMs = Number.NEGATIVE_INFINITY;
	private mustSetUp = false;
	/** Input pins that are no input unless they are told to be. */
	private readonly digitalInputs: readonly number[];
	private lookMs = 0;
	private looks = 0;
	/** Answers of an input's pin in a row with another mode than an input's. */
	private forgotten = 0;
	/** Pins asked and not yet answered: since when, and the state that the answer must show. */
	private readonly asked = new Map<number, { atMs: number; wanted: number }>();
	/** Wrong answers in a row, by output; one that answers right is not in it. */
	private readonly wrong = new Map<OutputName, number>();

	constructor(
		io: FirmataIo,
		pins: PinMap,
		drives: Drives,
		clock: () => number,
		notFitted: ReadonlySet<string> = new Set(),
	) {
		this.io = io;
		this.clock = clock;
		this.drives = drives;
		this.order = [...drives.keys()];
		this.answeredMs = clock();
		this.lookMs = this.answeredMs;
		this.registers = new RegisterRound(io, pins, clock, notFitted);
		this.inputs = Object.entries(pins.channels).filter(([name]) => !notFitted.has(name));
		for (const [name, channel] of this.inputs) this.listen(name, channel);
		this.digitalInputs = this.inputs.flatMap(([, channel]) =>
			channel.kind === "pulse" || channel.kind === "digital-in" ? [channel.pin] : [],
		);
		// For good, so that questions which nobody answers leave nothing behind.
		for (const [name, { pin }] of drives) io.on(stateOf(pin), () => this.judge(name, pin));
		for (const pin of this.digitalInputs) io.on(stateOf(pin), () => this.judgeInput(pin));
		// Nobody asks for these two any more: the board says them as it boots.
		for (const event of ["reportversion", "queryfirmware"]) io.on(event, () => this.begunAnew());
		this.configure();
	}

	/** Since the board last answered, ms. */
	get silentMs(): number {
		return this.clock() - this.answeredMs;
	}

	/**
	 * The line was away: what was written meanwhile is lost, and so is what the board has reported.
	 * The next tick sets it up and drives it.
	 */
	setUpAnew(): void {
		this.mustSetUp = true;
	}

	/**
	 * Tells the board what each pin is for, and the converter what it is to do. A board that has
	 * been reset has forgotten all of it. The image puts each output low on the way.
	 */
	configure(): void {
		const { io } = this;
		for (const { pin } of this.drives.values()) io.pinMode(pin, io.MODES.OUTPUT);
		// Whatever level the pins had, the next tick writes it anew.
		this.levels.clear();
		this.asked.clear();
		this.wrongModes = 0;
		this.mustSetUp = false;
		// A button that was let go meanwhile must not read as pressed until the board has said so.
		for (const [name, { kind }] of this.inputs) if (kind === "digital-in") this.heard.delete(name);
		this.setUpInputs();
		this.registers.configure();
	}

	private setUpInputs(): void {
		const { io } = this;
		this.forgotten = 0;
		io.setSamplingInterval(SAMPLING_MS);
		for (const [, channel] of this.inputs) {
			if (channel.kind === "analog") {
				const index = indexOf(channel);
				io.pinMode(index, io.MODES.ANALOG);
				io.reportAnalogPin(index, 1);
			} else if (channel.kind === "pulse" || channel.kind === "digital-in") {
				io.pinMode(channel.pin, io.MODES.INPUT);
				io.reportDigitalPin(channel.pin, 1);
			}
		}
	}

	read(): Readings {
		const nowMs = this.clock();
		const boardAge = nowMs - this.answeredMs;
		const isWrong = [...this.wrong.values()].some((count) => count >= WRONG_ANSWERS);
		const proven = isWrong || nowMs - this.begunMs < BEGUN_SHOWS_MS ? 0 : 1;
		const readings: Record<string, Reading> = { board: { raw: proven, ageMs: boardAge } };
		if (this.beatAnsweredMs !== null) {
			const raw = this.wrongModes >= WRONG_ANSWERS ? 0 : 1;
			readings["beat-mode"] = { raw, ageMs: nowMs - this.beatAnsweredMs };
		}
		for (const [name, { raw, atMs }] of this.heard) {
			readings[name] = { raw, ageMs: this.onChange.has(name) ? boardAge : nowMs - atMs };
		}
		for (const [name, { raw, atMs }] of this.registers.heard) {
			readings[name] = { raw, ageMs: nowMs - atMs };
		}
		return readings;
	}

	drive(outputs: Outputs): void {
		if (this.mustSetUp) this.configure();
		for (const [name, { drive }] of this.drives) {
			const high = outputs[name];
			if (this.levels.get(name) === high) continue;
			this.levels.set(name, high);
			drive(high);
		}
		this.prove();
		if (this.silentMs > ASK_AGAIN_MS) return;
		// Not while nothing answers: a board that boots would reach for a bus that is not set up.
		this.registers.ask();
		this.lookAtInputs();
	}

	/** Asks one output pin for its mode and state; the line keeps the order of writes and asking. */
	private prove(): void {
		const name = this.order[this.turn % this.order.length];
		this.turn += 1;
		if (name === undefined) return;
		const pin = this.drives.get(name)?.pin ?? 0;
		const nowMs = this.clock();
		const open = this.asked.get(pin);
		if (open !== undefined && nowMs - open.atMs < ASK_AGAIN_MS) return;
		const wanted = this.levels.get(name) === true ? 1 : 0;
		this.asked.set(pin, { atMs: nowMs, wanted });
		this.query(pin);
	}

	/** The listeners are there for good: what the io adds for this one question is taken off. */
	private query(pin: number): void {
		this.io.removeListener(stateOf(pin), ignore);
		this.io.queryPinState(pin, ignore);
	}

	private judge(name: OutputName, pin: number): void {
		const question = this.asked.get(pin);
		if (question === undefined) return;
		this.asked.delete(pin);
		this.answered();
		// What was asked before the board is set up again says nothing of its outputs.
		if (this.mustSetUp) return;
		const { mode, state } = this.io.pins[pin] ?? {};
		const isOutput = mode === this.io.MODES.OUTPUT;
		if (name === BEAT) {
			this.beatAnsweredMs = this.answeredMs;
			this.wrongModes = isOutput ? 0 : this.wrongModes + 1;
		}
		if (isOutput && state === question.wanted) {
			this.wrong.delete(name);
			return;
		}
		this.wrong.set(name, (this.wrong.get(name) ?? 0) + 1);
		// The write may have been lost on the line: the next tick writes the level again.
		this.levels.delete(name);
	}

	private answered(): void {
		if (this.silentMs > SILENT_MS) this.mustSetUp = true;
		this.answeredMs = this.clock();
	}

	private begunAnew(): void {
		this.answeredMs = this.clock();
		this.begunMs = this.answeredMs;
		this.mustSetUp = true;
	}

	/** Whether the inputs still are what they were told to be: the word of a reset may be lost. */
	private lookAtInputs(): void {
		const nowMs = this.clock();
		if (nowMs - this.lookMs < LOOK_MS) return;
		this.lookMs = nowMs;
		const isQuiet = ([name, { kind }]: readonly [string, Channel]) =>
			kind === "analog" && nowMs - (this.heard.get(name)?.atMs ?? 0) > LOOK_MS;
		if (this.inputs.some(isQuiet)) this.setUpInputs();
		for (const [, channel] of this.inputs) {
			// Told to report, the image says the level at once: the word of a change may have been lost.
			if (channel.kind === "digital-in") this.io.reportDigitalPin(channel.pin, 1);
		}
		const pin = this.digitalInputs[this.looks % this.digitalInputs.length];
		// A pin that has answered wrongly is asked again.
		if (this.forgotten === 0) this.looks += 1;
		if (pin !== undefined) this.query(pin);
	}

	private judgeInput(pin: number): void {
		const { io } = this;
		if (io.pins[pin]?.mode === io.MODES.INPUT) this.forgotten = 0;
		else this.forgotten += 1;
		if (this.forgotten >= WRONG_ANSWERS) this.begunAnew();
	}

	private listen(name: string, channel: Channel): void {
		const { io, heard, clock } = this;
		if (channel.kind === "analog") {
			io.analogRead(indexOf(channel), (raw) => heard.set(name, { raw, atMs: clock() }));
		} else if (channel.kind === "pulse") {
			let level = 0;
			const count: Heard = { raw: 0, atMs: clock() };
			this.onChange.add(name);
			heard.set(name, count);
			io.digitalRead(channel.pin, (now) => {
				if (now === 1 && level === 0) count.raw += 1;
				level = now;
			});
		} else if (channel.kind === "digital-in") {
			this.onChange.add(name);
			io.digitalRead(channel.pin, (raw) => heard.set(name, { raw, atMs: clock() }));
		}
	}
}

/** Number of an analog pin among the analog ones, as the io counts them. */
export function indexOf({ pin }: Extract<Channel, { kind: "analog" }>): number {
	return Number(pin.slice(1));
}

/** The io's own name of a pin's answer. */
const stateOf = (pin: number): string => `pin-state-${pin}`;

const ignore = () => {};
