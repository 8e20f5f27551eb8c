// A line that comes back. A USB device may stand under another name after it was pulled out and put
// back: it is known by its serial number, and what now stands under the old name is not taken for
// it. What has no serial number, a socket or a plain port, is waited for under its own path.

import { realpathSync } from "node:fs";
import { setTimeout as sleep } from "node:timers/promises";
import { SerialPort } from "serialport";
import { InputError } from "../../firmware/config/input-error.ts";
import { type Line, type OpenLine, openLine } from "./line.ts";

/** What a computer tells of a serial port. */
export interface PortFacts {
	readonly path: string;
	readonly serialNumber?: string | undefined;
	readonly vendorId?: string | undefined;
	readonly productId?: string | undefined;
	/** Tells the ports of one device apart. */
	readonly pnpId?: string | undefined;
}

export type ListPorts = () => Promise<readonly PortFacts[]>;

/** A port as it was when it was first opened. */
export interface Device {
	/** As it was named by the user. */
	readonly path: string;
	/** Null for what has no USB serial number. */
	readonly usb: PortFacts | null;
}

export interface Patience {
	/** How long a line may be away, ms. */
	readonly patienceMs: number;
	readonly listPorts: ListPorts;
	readonly open: OpenLine;
	/** Ends the waiting early. */
	readonly signal?: AbortSignal;
}

const LOOK_EVERY_MS = 250;
/** What has been away for so long may stay away for days: it is looked for less often, ms. */
const LONG_AWAY_MS = 60_000;
const LOOK_SELDOM_MS = 2_000;

export const systemPorts = { listPorts: () => SerialPort.list(), open: openLine };

/** What to look for when the line at this path goes away. */
export async function identify(path: string, listPorts: ListPorts): Promise<Device> {
	const ports = await listed(listPorts);
	const real = realPath(path);
	const usb = ports.find((port) => port.path === path || port.path === real);
	return { path, usb: usb?.serialNumber === undefined ? null : usb };
}

/** Where the device is now; null while it is away. */
export function pathNow({ path, usb }: Device, ports: readonly PortFacts[]): string | null {
	if (usb === null) return path;
	const same = ports.filter(
		({ serialNumber, vendorId, productId }) =>
			serialNumber === usb.serialNumber && vendorId === usb.vendorId && productId === usb.productId,
	);
	const found =
		same.find(({ pnpId }) => pnpId !== undefined && pnpId === usb.pnpId) ??
		same.find((port) => port.path === usb.path) ??
		same[0];
	return found?.path ?? null;
}

/**
 * Looks for the device until it can be opened.
 * @returns null when the signal ended the waiting
 * @throws InputError when it stays away for longer than the patience
 */
export async function waitForLine(device: Device, patience: Patience): Promise<Line | null> {
	const { patienceMs, listPorts, open, signal } = patience;
	const fromMs = performance.now();
	const untilMs = fromMs + patienceMs;
	for (;;) {
		if (signal?.aborted === true) return null;
		const path = pathNow(device, device.usb === null ? [] : await listed(listPorts));
		const line = path === null ? null : await open(path).catch(asAway);
		if (line !== null) return line;
		if (performance.now() >= untilMs) throw staysAway(device, patienceMs);
		const isLong = performance.now() - fromMs > LONG_AWAY_MS;
		const waitMs = isLong ? LOOK_SELDOM_MS : LOOK_EVERY_MS;
		await sleep(waitMs, undefined, { ...(signal && { signal }) }).catch(() => {});
	}
}

/** A port that cannot be opened yet is away; anything else is a fault of ours. */
function asAway(error: unknown): null {
	if (error instanceof InputError) return null;
	throw error;
}

function staysAway({ path, usb }: Device, patienceMs: number): InputError {
	const seconds = Math.round(patienceMs / 1000);
	const known = usb === null ? "" : ` with serial number ${usb.serialNumber} under any name`;
	const found = `no line${known} for ${seconds} s after it was lost`;
	const allowed = "a cable that is put back (--patience-seconds waits longer)";
	return new InputError([{ file: path, found, allowed }]);
}

/** A computer that cannot list its ports knows none. */
async function listed(listPorts: ListPorts): Promise<readonly PortFacts[]> {
	return listPorts().catch(() => []);
}

function realPath(path: string): string {
	try {
		return realpathSync(path);
	} catch {
		return path;
	}
}
