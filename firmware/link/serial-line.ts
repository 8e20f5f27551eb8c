// A serial device as a line of bytes. Every failure to open it becomes one clear sentence, whatever
// the operating system calls it.

import { SerialPort } from "serialport";
import { InputError } from "../config/input-error.ts";
import type { Line } from "./session.ts";

/** The link's speed where a device has one; a pseudo-terminal or USB gadget ignores it. */
export const LINK_BAUD = 115_200;

/**
 * Opens a serial device.
 * @throws InputError when it does not exist, is in use, is no serial device or may not be opened
 */
export async function openSerialLine(path: string, baudRate: number): Promise<SerialPort> {
	const port = new SerialPort({ path, baudRate, autoOpen: false });
	await new Promise<void>((resolve, reject) => {
		port.open((error) => (error === null ? resolve() : reject(refusal(path, error.message))));
	});
	return port;
}

function refusal(path: string, message: string): InputError {
	const found = /No such file/.test(message)
		? "no such port"
		: /lock|busy|temporarily unavailable/i.test(message)
			? "a port in use by another program"
			: /Permission/.test(message)
				? "a port that may not be opened"
				: /Inappropriate ioctl|Is a directory|Not a typewriter/.test(message)
					? "something that is no serial port"
					: message;
	return new InputError([{ file: path, found, allowed: "a serial port that is free" }]);
}

/** So long nothing is read of a line that was dropped: a flood costs its share of time only. */
const REST_MS = 100;

/** An open device as a line of the link's server. From here it cannot be ended. */
export function lineOf(port: SerialPort): Line {
	return {
		write: (bytes) => port.write(bytes),
		waiting: () => port.writableLength,
		drop: () => {
			port.flush(() => {});
			port.pause();
			setTimeout(() => port.resume(), REST_MS);
		},
	};
}
