// What a service manager is told of `lees control`: that it runs, that its ticks come to their end,
// how it stands, that it ends. After sd_notify(3). Node has no datagram sockets of the unix kind;
// but a write into a connected one that was handed down is a datagram, so the program that starts
// this one connects it (hardware/service/notify-exec.sh). Imports Node and the status's type.

import { fstatSync, writeSync } from "node:fs";
import type { Status } from "../../firmware/link/protocol.ts";

/** Signs of life in the manager's patience; sd_watchdog_enabled(3) asks for two at least. */
const BEATS_IN_PATIENCE = 5;
/** How often it is told where nobody's patience is known, ms. */
const TOLD_EVERY_MS = 2_000;
/** The first descriptor that is no standard stream. */
const DESCRIPTOR_MIN = 3;
const STATUS_LENGTH_MAX = 200;

/** Sends one datagram; false where it could not be sent now. */
export type Send = (text: string) => boolean;

export interface NoticeParts {
	readonly send: Send;
	/** How long the manager waits for a sign of life, ms; null where it does not watch. */
	readonly patienceMs: number | null;
	/** Monotonic milliseconds. */
	readonly clock: () => number;
	/** One line of words. */
	readonly status: () => string;
}

export class ServiceNotice {
	private readonly parts: NoticeParts;
	private readonly everyMs: number;
	private isReady = false;
	private toldMs = Number.NEGATIVE_INFINITY;
	private status = "";

	constructor(parts: NoticeParts) {
		this.parts = parts;
		this.everyMs = (parts.patienceMs ?? BEATS_IN_PATIENCE * TOLD_EVERY_MS) / BEATS_IN_PATIENCE;
	}

	/** To be called at the end of a tick and from nowhere else: it is the sign of life. */
	tickEnded(): void {
		const { send, patienceMs, clock, status } = this.parts;
		const nowMs = clock();
		if (nowMs - this.toldMs < this.everyMs) return;
		this.toldMs = nowMs;
		const lines: string[] = [];
		if (!this.isReady) lines.push("READY=1");
		if (patienceMs !== null) lines.push("WATCHDOG=1");
		const words = oneLine(status());
		if (words !== this.status) lines.push(`STATUS=${words}`);
		if (lines.length === 0 || !send(lines.join("\n"))) return;
		this.isReady = true;
		this.status = words;
	}

	stopping(): void {
		this.parts.send("STOPPING=1\nSTATUS=ending; the pump is told off");
	}
}

/** How the controller stands, for who asks the service manager. */
export function statusWords(status: Status, isBoardProven: boolean): string {
	const { state, trips, heldFor, pumpDemanded, logFailed } = status;
	const codes = trips.map(({ code }) => code).join(", ");
	const why = codes !== "" ? `: ${codes}` : heldFor.length > 0 ? ` for ${heldFor.join(", ")}` : "";
	const parts = [`${state}${why}`, pumpDemanded ? "pump asked for" : "pump off"];
	if (!isBoardProven) parts.push("the board does not answer");
	if (logFailed) parts.push("the log has failed");
	return parts.join("; ");
}

export interface Found {
	readonly send: Send;
	readonly patienceMs: number | null;
}

/**
 * The manager that started this process; null where none did, or where it cannot be told, in words
 * to `tell`. To be called before anything else is opened.
 */
export function findManager(
	env: Readonly<Record<string, string | undefined>>,
	tell: (words: string) => void,
): Found | null {
	if ((env.NOTIFY_SOCKET ?? "") === "") return null;
	const descriptor = Number(env.LEES_NOTIFY_FD);
	if (!isSocket(descriptor)) {
		tell(
			"NOTIFY_SOCKET is set, but no connected socket was handed down (LEES_NOTIFY_FD): " +
				"the service manager is told nothing. Start this by hardware/service/notify-exec.sh",
		);
		return null;
	}
	const isWatched = env.WATCHDOG_PID === undefined || Number(env.WATCHDOG_PID) === process.pid;
	const patienceMs = Number(env.WATCHDOG_USEC) / 1000;
	return {
		send: (text) => sendBy(descriptor, text),
		patienceMs: isWatched && patienceMs > 0 ? patienceMs : null,
	};
}

/** The socket does not wait: a manager that does not read must not hold up the tick. */
function sendBy(descriptor: number, text: string): boolean {
	try {
		writeSync(descriptor, text);
		return true;
	} catch {
		return false;
	}
}

function isSocket(descriptor: number): boolean {
	if (!Number.isInteger(descriptor) || descriptor < DESCRIPTOR_MIN) return false;
	try {
		return fstatSync(descriptor).isSocket();
	} catch {
		return false;
	}
}

function oneLine(words: string): string {
	return words.replaceAll(/\s+/g, " ").slice(0, STATUS_LENGTH_MAX);
}
