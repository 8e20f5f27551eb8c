// A line of bytes to a controller: a serial device, or a local socket where the path is one. Every
// failure to open it is one clear sentence. Imports the firmware's serial line and Node.

import { statSync } from "node:fs";
import { createConnection } from "node:net";
import type { Duplex } from "node:stream";
import { InputError } from "../../firmware/config/input-error.ts";
import { LINK_BAUD, openSerialLine } from "../../firmware/link/serial-line.ts";

export interface Line {
	/** As it was opened: names the line in every error. */
	readonly path: string;
	/** Emits `close` once, when either end is gone. */
	readonly stream: Duplex;
	close(): Promise<void>;
}

export type OpenLine = (path: string) => Promise<Line>;

/** @throws InputError when nothing can be opened there */
export async function openLine(path: string): Promise<Line> {
	if (isSocket(path)) return connectSocket(path);
	const port = await openSerialLine(path, LINK_BAUD);
	const close = () => new Promise<void>((resolve) => port.close(() => resolve()));
	return { path, stream: port, close };
}

export function isSocket(path: string): boolean {
	return statSync(path, { throwIfNoEntry: false })?.isSocket() === true;
}

async function connectSocket(path: string): Promise<Line> {
	const socket = createConnection(path);
	await new Promise<void>((resolve, reject) => {
		socket.once("connect", resolve);
		socket.once("error", (error: NodeJS.ErrnoException) => reject(refusal(path, error)));
	});
	return { path, stream: socket, close: async () => void socket.destroy() };
}

function refusal(path: string, { code, message }: NodeJS.ErrnoException): InputError {
	const found =
		code === "ECONNREFUSED"
			? "a socket that nobody serves"
			: code === "EACCES" || code === "EPERM"
				? "a socket that may not be opened: it is its owner's"
				: message;
	return new InputError([{ file: path, found, allowed: "a controller's local socket" }]);
}
