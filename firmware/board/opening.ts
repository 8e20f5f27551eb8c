// Meets a Firmata board on a line: waits until it says who it is, asks again for what the line may
// have lost, refuses a board that the pin map is not for, and makes the johnny-five parts that
// drive its outputs. Imports the board's own files.

import type { PinMap } from "../config/pins.ts";
import { BEAT, type Drives, FirmataBoard, indexOf } from "./firmata.ts";
import { type FirmataIo, type FiveBoard, loadFive, type Transport } from "./johnny-five.ts";
import { MessageGate } from "./message-gate.ts";
import { READY_MS_MAX } from "./patience.ts";
import type { OutputName } from "./port.ts";

/** It says by itself who it is as it boots; one that was on already has to be asked, ms. */
const FIRST_ASKED_MS = 2_500;
const ASK_AGAIN_MS = 1_000;
/** What a line emits when it has gone: a port, and a line that outlives its ports. */
const GONE = ["close", "lost"] as const;

/**
 * Opens a Firmata board on a transport.
 * @param clock monotonic milliseconds
 * @param notFitted input channels that the rig lacks: they are neither read nor reported
 * @throws Error when the board does not answer in time, or is none that the pin map is for
 */
export async function openFirmataBoard(
	transport: Transport,
	pins: PinMap,
	clock: () => number,
	notFitted: readonly string[] = [],
): Promise<FirmataBoard> {
	const { five, Firmata } = loadFive();
	const gate = new MessageGate(transport);
	const io = new Firmata(gate);
	try {
		await meet(io, transport);
		const wrong = misfitOf(io, pins);
		if (wrong !== null) throw new Error(wrong);
	} catch (error) {
		gate.end();
		throw error;
	}
	const board = new five.Board({ io, repl: false, debug: false, sigint: false });
	await new Promise<void>((resolve) => board.once("ready", () => resolve()));
	const drives = createDrives(board, pins, five);
	return new FirmataBoard(io, pins, drives, clock, new Set(notFitted));
}

/** Waits for the board's first answers; asks again for what the line may have lost. */
async function meet(io: FirmataIo, transport: Transport): Promise<void> {
	let timer: NodeJS.Timeout | undefined;
	const askAgain = () => {
		if (!io.versionReceived) io.reportVersion(ignore);
		io.queryFirmware(ignore);
		if (io.versionReceived) {
			if (io.pins.length === 0) io.queryCapabilities(ignore);
			else io.queryAnalogMapping(ignore);
		}
		timer = setTimeout(askAgain, ASK_AGAIN_MS);
	};
	timer = setTimeout(askAgain, FIRST_ASKED_MS);
	let giveUp: NodeJS.Timeout | undefined;
	let hasGone: () => void = () => {};
	try {
		await new Promise<void>((resolve, reject) => {
			const give = () => reject(new Error(`the board does not answer within ${READY_MS_MAX} ms`));
			giveUp = setTimeout(give, READY_MS_MAX);
			hasGone = () => reject(new Error("the line closed before the board answered"));
			io.once("ready", () => resolve());
			for (const event of GONE) transport.once(event, hasGone);
		});
	} finally {
		clearTimeout(timer);
		clearTimeout(giveUp);
		for (const event of GONE) transport.removeListener(event, hasGone);
	}
}

/** Why this board is none that the pin map is for; null where it is. */
function misfitOf(io: FirmataIo, pins: PinMap): string | null {
	const can = (pin: number, mode: number) => io.pins[pin]?.supportedModes?.includes(mode) === true;
	const { OUTPUT, INPUT, PWM } = io.MODES;
	for (const [name, channel] of Object.entries(pins.channels)) {
		if (channel.kind === "digital-out" && !can(channel.pin, OUTPUT)) {
			return `its pin ${channel.pin} is no output`;
		}
		if (name === BEAT && channel.kind === "digital-out" && can(channel.pin, PWM)) {
			return `its pin ${channel.pin} makes edges by itself: not for the beat`;
		}
		const isInput = channel.kind === "pulse" || channel.kind === "digital-in";
		if (isInput && !can(channel.pin, INPUT)) return `its pin ${channel.pin} is no input`;
		if (channel.kind === "analog" && io.analogPins[indexOf(channel)] === undefined) {
			return `it has no pin ${channel.pin}`;
		}
	}
	return null;
}

/** The johnny-five part that drives each output. */
export function createDrives(
	board: FiveBoard,
	pins: PinMap,
	five: ReturnType<typeof loadFive>["five"],
): Drives {
	const drives: Drives = new Map();
	for (const [name, channel] of Object.entries(pins.channels)) {
		if (channel.kind !== "digital-out") continue;
		const { pin } = channel;
		let drive: (high: boolean) => void;
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

const ignore = () => {};
