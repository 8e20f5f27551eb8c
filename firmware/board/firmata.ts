// A stock Firmata board over a serial line, through johnny-five. Inputs are kept with the time at
// which they were last heard; outputs are proven by asking the board for each pin's mode and state,
// one pin a tick, which is also the heartbeat: a board that does not answer grows old by itself.
//
//   Transport (serialport) <-> Firmata io <-> johnny-five Relay, Led
//        ^ injected               |-> digitalRead, analogRead, queryPinState
//                                 \-> i2cReadOnce (register-round.ts)

import type { Channel, PinMap } from "../config/pins.ts";
import { type FirmataIo, type FiveBoard, loadFive, type Transport } from "./johnny-five.ts";
import type { Board, OutputName, Outputs, Reading, Readings } from "./port.ts";
import { type Heard, RegisterRound } from "./register-round.ts";

/** Stock Firmata reports analog pins at this pace, ms; under 10 it is silently 10. */
const SAMPLING_MS = 50;
/** From power-up, with the bootloader's pause and the image's own blinking, ms. */
const READY_MS_MAX = 12_000;
/** An answer that has not come by then was lost on the line, ms. */
const ASK_AGAIN_MS = 1_000;
/** So many wrong answers of one pin in a row are no accident; each pin is asked every 0.7 s. */
const WRONG_ANSWERS = 2;
const BEAT = "dead-man-beat";

/** What drives an output pin: the johnny-five part that suits it. */
type Drive = (high: boolean) => void;

/**
 * Opens a Firmata board on a transport.
 * @param clock monotonic milliseconds
 * @param notFitted input channels that the rig lacks: they are neither read nor reported
 * @throws Error when the board does not answer in time
 */
export async function openFirmataBoard(
	transport: Transport,
	pins: PinMap,
	clock: () => number,
	notFitted: readonly string[] = [],
): Promise<FirmataBoard> {
	const { five, Firmata } = loadFive();
	const io = new Firmata(transport);
	io.on("error", () => {});
	await new Promise<void>((resolve, reject) => {
		const give = () => reject(new Error(`the board does not answer within ${READY_MS_MAX} ms`));
		const timer = setTimeout(give, READY_MS_MAX);
		io.once("ready", () => {
			clearTimeout(timer);
			resolve();
		});
		transport.once("close", () => reject(new Error("the line closed before the board answered")));
	});
	const board = new five.Board({ io, repl: false, debug: false, sigint: false });
	await new Promise<void>((resolve) => board.once("ready", () => resolve()));
	const drives = createDrives(board, pins, five);
	return new FirmataBoard(io, pins, drives, clock, new Set(notFitted));
}

function createDrives(
	board: FiveBoard,
	pins: PinMap,
	five: ReturnType<typeof loadFive>["five"],
): Map<OutputName, { pin: number; drive: Drive }> {
	const drives = new Map<OutputName, { pin: number; drive: Drive }>();
	for (const [name, channel] of Object.entries(pins.channels)) {
		if (channel.kind !== "digital-out") continue;
		const { pin } = channel;
		let drive: Drive;
		if (name === "lamp-pump" || name === "lamp-trip") {
			const lamp = new five.Led({ board, pin });
			drive = (high) => (high ? lamp.on() : lamp.off());
		} else {
			// Levels only. A `Pin` sends the pin's mode before each level, and a mode that the line
			// spoils is what makes a beat without a controller.
			const relay = new five.Relay({ board, pin, type: "NO" });
			drive = (high) => (high ? relay.close() : relay.open());
		}
		drives.set(name as OutputName, { pin, drive });
	}
	return drives;
}

export class FirmataBoard implements Board {
	private readonly io: FirmataIo;
	private readonly clock: () => number;
	private readonly drives: Map<OutputName, { pin: number; drive: Drive }>;
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
	/** Pins asked and not yet answered: since when, and the state that the answer must show. */
	private readonly asked = new Map<number, { atMs: number; wanted: number }>();
	/** Wrong answers in a row, by output; one that answers right is not in it. */
	private readonly wrong = new Map<OutputName, number>();

	constructor(
		io: FirmataIo,
		pins: PinMap,
		drives: Map<OutputName, { pin: number; drive: Drive }>,
		clock: () => number,
		notFitted: ReadonlySet<string> = new Set(),
	) {
		this.io = io;
		this.clock = clock;
		this.drives = drives;
		this.order = [...drives.keys()];
		this.answeredMs = clock();
		// A board that does not answer leaves its questions behind as listeners, one a second a pin.
		io.setMaxListeners(0);
		this.registers = new RegisterRound(io, pins, clock, notFitted);
		this.inputs = Object.entries(pins.channels).filter(([name]) => !notFitted.has(name));
		for (const [name, channel] of this.inputs) this.listen(name, channel);
		this.configure();
	}

	/**
	 * Tells the board what each pin is for, and the converter what it is to do. A board that has
	 * been reset has forgotten all of it: to be called again when it is back.
	 */
	configure(): void {
		const { io } = this;
		io.setSamplingInterval(SAMPLING_MS);
		for (const { pin } of this.drives.values()) io.pinMode(pin, io.MODES.OUTPUT);
		// Whatever level the pins had, the next tick writes it anew.
		this.levels.clear();
		this.asked.clear();
		this.wrongModes = 0;
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
		this.registers.configure();
	}

	read(): Readings {
		const nowMs = this.clock();
		const boardAge = nowMs - this.answeredMs;
		const proven = [...this.wrong.values()].some((count) => count >= WRONG_ANSWERS) ? 0 : 1;
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
		for (const [name, { drive }] of this.drives) {
			const high = outputs[name];
			if (this.levels.get(name) === high) continue;
			this.levels.set(name, high);
			drive(high);
		}
		this.prove();
		this.registers.ask();
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
		this.io.queryPinState(pin, () => this.judge(name, pin));
	}

	private judge(name: OutputName, pin: number): void {
		const question = this.asked.get(pin);
		if (question === undefined) return;
		this.asked.delete(pin);
		this.answeredMs = this.clock();
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
			heard.set(name, { raw: 0, atMs: clock() });
			io.digitalRead(channel.pin, (raw) => heard.set(name, { raw, atMs: clock() }));
		}
	}
}

/** Number of an analog pin among the analog ones, as the io counts them. */
function indexOf({ pin }: Extract<Channel, { kind: "analog" }>): number {
	return Number(pin.slice(1));
}
