// A stock Firmata board over a serial line, through johnny-five. Inputs are kept with the time at
// which they were last heard; outputs are proven by asking the board for each pin's mode and state,
// one pin a tick, which is also the heartbeat: a board that does not answer grows old by itself.
//
//   Transport (serialport) <-> Firmata io <-> johnny-five Relay, Led, Pin
//        ^ injected               \-> digitalRead, analogRead, i2cRead, queryPinState

import type { Channel, PinMap } from "../config/pins.ts";
import { type FirmataIo, type FiveBoard, loadFive, type Transport } from "./johnny-five.ts";
import type { Board, Outputs, Reading, Readings } from "./port.ts";

/** Stock Firmata reports analog pins and I2C at this pace, ms; under 10 it is silently 10. */
const SAMPLING_MS = 50;
/** From power-up, with the bootloader's pause and the image's own blinking, ms. */
const READY_MS_MAX = 12_000;
/** An answer that has not come by then was lost on the line, ms. */
const ASK_AGAIN_MS = 1_000;
/** So many wrong answers of one pin in a row are no accident; each is asked twice a second. */
const WRONG_ANSWERS = 2;

export type OutputName = keyof Outputs;

interface Heard {
	raw: number;
	atMs: number;
}

/** What drives an output pin: the johnny-five part that suits it. */
type Drive = (high: boolean) => void;

/**
 * Opens a Firmata board on a transport.
 * @param clock monotonic milliseconds
 * @throws Error when the board does not answer in time
 */
export async function openFirmataBoard(
	transport: Transport,
	pins: PinMap,
	clock: () => number,
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
	const drives = createDrives(board, io, pins, five);
	return new FirmataBoard(io, pins, drives, clock);
}

function createDrives(
	board: FiveBoard,
	io: FirmataIo,
	pins: PinMap,
	five: ReturnType<typeof loadFive>["five"],
): Map<OutputName, { pin: number; drive: Drive }> {
	const drives = new Map<OutputName, { pin: number; drive: Drive }>();
	for (const [name, channel] of Object.entries(pins.channels)) {
		if (channel.kind !== "digital-out") continue;
		const { pin } = channel;
		let drive: Drive;
		if (name === "pump-demand" || name === "horn") {
			const relay = new five.Relay({ board, pin, type: "NO" });
			drive = (high) => (high ? relay.close() : relay.open());
		} else if (name === "dead-man-beat") {
			const beat = new five.Pin({ board, pin, type: "digital", mode: io.MODES.OUTPUT });
			drive = (high) => (high ? beat.high() : beat.low());
		} else {
			const lamp = new five.Led({ board, pin });
			drive = (high) => (high ? lamp.on() : lamp.off());
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
	private readonly heard = new Map<string, Heard>();
	/** Channels that report only when they change: as fresh as the board's last answer. */
	private readonly onChange = new Set<string>();
	private readonly levels = new Map<OutputName, boolean>();
	private answeredMs: number;
	private turn = 0;
	/** Pins asked and not yet answered: since when, and the state that the answer must show. */
	private readonly asked = new Map<number, { atMs: number; wanted: number }>();
	/** Wrong answers in a row, by output; one that answers right is not in it. */
	private readonly wrong = new Map<OutputName, number>();
	/** The next so many I2C replies are another device's bytes. */
	private falseReplies = 0;

	constructor(
		io: FirmataIo,
		pins: PinMap,
		drives: Map<OutputName, { pin: number; drive: Drive }>,
		clock: () => number,
	) {
		this.io = io;
		this.clock = clock;
		this.drives = drives;
		this.order = [...drives.keys()];
		this.answeredMs = clock();
		// A board that does not answer leaves its questions behind as listeners, one a second a pin.
		io.setMaxListeners(0);
		io.setSamplingInterval(SAMPLING_MS);
		// For an address that is absent this image answers with stale bytes, and says so just before.
		io.on("string", (text: string) => {
			if (text.includes("Too few bytes")) this.falseReplies += 1;
		});
		if (Object.values(pins.channels).some(({ kind }) => kind === "i2c")) io.i2cConfig();
		for (const [name, channel] of Object.entries(pins.channels)) this.listen(name, channel);
	}

	read(): Readings {
		const nowMs = this.clock();
		const boardAge = nowMs - this.answeredMs;
		const proven = [...this.wrong.values()].some((count) => count >= WRONG_ANSWERS) ? 0 : 1;
		const readings: Record<string, Reading> = { board: { raw: proven, ageMs: boardAge } };
		for (const [name, { raw, atMs }] of this.heard) {
			readings[name] = { raw, ageMs: this.onChange.has(name) ? boardAge : nowMs - atMs };
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
		if (mode === this.io.MODES.OUTPUT && state === question.wanted) {
			this.wrong.delete(name);
			return;
		}
		this.wrong.set(name, (this.wrong.get(name) ?? 0) + 1);
		// The write may have been lost on the line: the next tick writes the level again.
		this.levels.delete(name);
	}

	private listen(name: string, channel: Channel): void {
		const { io, heard, clock } = this;
		switch (channel.kind) {
			case "analog": {
				const index = Number(channel.pin.slice(1));
				io.pinMode(index, io.MODES.ANALOG);
				io.analogRead(index, (raw) => heard.set(name, { raw, atMs: clock() }));
				return;
			}
			case "pulse": {
				let level = 0;
				const count: Heard = { raw: 0, atMs: clock() };
				this.onChange.add(name);
				heard.set(name, count);
				io.pinMode(channel.pin, io.MODES.INPUT);
				io.digitalRead(channel.pin, (now) => {
					if (now === 1 && level === 0) count.raw += 1;
					level = now;
				});
				return;
			}
			case "digital-in":
				this.onChange.add(name);
				heard.set(name, { raw: 0, atMs: clock() });
				io.pinMode(channel.pin, io.MODES.INPUT);
				io.digitalRead(channel.pin, (raw) => heard.set(name, { raw, atMs: clock() }));
				return;
			case "i2c":
				io.i2cRead(channel.address, channel.register, 2, (bytes) => {
					if (this.falseReplies > 0) this.falseReplies -= 1;
					else heard.set(name, { raw: countsOf(bytes, channel), atMs: clock() });
				});
				return;
			case "digital-out":
				return;
		}
	}
}

/** A register's two bytes, most significant first, as counts. */
function countsOf(
	[high = 0, low = 0]: readonly number[],
	{ signed, shiftRight }: Extract<Channel, { kind: "i2c" }>,
): number {
	const word = high * 256 + low;
	return (signed && word >= 0x8000 ? word - 0x10000 : word) >> shiftRight;
}
