// The board of `lees control` on its serial port: opened, and opened anew whenever it was lost,
// under whatever name it comes back. What is there and is no board is refused; what is not there
// yet is told and waited for, so that a rig which is switched on before its board comes up.

import { existsSync } from "node:fs";
import {
	type BoardNews,
	SteadyBoard,
	type SteadyParts,
} from "../../firmware/board/steady-board.ts";
import type { OpenedLine, OpenLine } from "../../firmware/board/steady-line.ts";
import { InputError, messageOf } from "../../firmware/config/input-error.ts";
import { openSerialLine } from "../../firmware/link/serial-line.ts";
import { type Device, identify, type ListPorts, pathNow, systemPorts } from "../link/reconnect.ts";

/** Stock Firmata's own speed. */
const FIRMATA_BAUD = 57_600;

type Parts = Pick<SteadyParts, "pins" | "clock" | "notFitted">;

/** @throws InputError where something is there that is no board */
export async function openUsbBoard(path: string, parts: Parts): Promise<SteadyBoard> {
	const tell = (words: string) => process.stderr.write(`the board on ${path} ${words}\n`);
	const steady = { ...parts, open: portOf(path, computer), tell: teller(tell) };
	if (!existsSync(path)) {
		tell("is not there; looking for it. Nothing pumps without it");
		return SteadyBoard.expect(steady);
	}
	try {
		return await SteadyBoard.open(steady);
	} catch (error) {
		if (error instanceof InputError) throw error;
		const found = messageOf(error);
		throw new InputError([{ file: path, found, allowed: "a board that runs stock Firmata" }]);
	}
}

/** What is asked of the computer: its ports, and one of them opened. */
export interface Computer {
	readonly listPorts: ListPorts;
	readonly open: (path: string) => Promise<OpenedLine>;
}

const computer: Computer = {
	listPorts: systemPorts.listPorts,
	open: async (path) => {
		const port = await openSerialLine(path, FIRMATA_BAUD);
		port.on("error", () => {});
		return { transport: port, close: () => port.close(() => {}) };
	},
};

/**
 * What stands at the path is tried until a board has answered on it. That device is looked for ever
 * after: by its USB serial number, if any. One that never answered is no board to wait for.
 */
export function portOf(path: string, { listPorts, open }: Computer): OpenLine {
	let device: Device | null = null;
	return async () => {
		const now = device === null ? path : pathNow(device, await portsFor(device, listPorts));
		if (now === null) throw new InputError([{ file: path, found: "no such port", allowed: "it" }]);
		const line = await open(now);
		const found = device ?? (await identify(path, listPorts));
		const met = () => {
			device = found;
		};
		return { ...line, met };
	};
}

/** Only a USB device is looked for in the list. */
async function portsFor({ usb }: Device, listPorts: ListPorts) {
	return usb === null ? [] : listPorts().catch(() => []);
}

/** Says the same thing once, however often it happens in a row. */
function teller(tell: (words: string) => void): (news: BoardNews, why?: string) => void {
	let last = "";
	return (news, why) => {
		const words =
			news === "back"
				? "is back"
				: news === "lost"
					? "has gone; looking for it"
					: `does not answer${why === undefined ? "" : ` (${why})`}; opening it anew`;
		if (words !== last) tell(words);
		last = words;
	};
}
