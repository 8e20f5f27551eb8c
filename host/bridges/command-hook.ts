// Runs a program with a message in its environment: without a shell and without arguments, so that
// nothing that a rig says is ever read as a command. It has bounded time, its output is read and
// thrown away but for the beginning of its complaint. Imports Node.

import { spawn } from "node:child_process";
import { harmless } from "../report/cell-width.ts";
import type { Message } from "./news.ts";
import type { Failure } from "./outbox.ts";

export interface HookTimes {
	/** Then it is told to end, and killed a while later, ms. */
	readonly timeoutMs: number;
	readonly killMs: number;
}

const TIMES: HookTimes = { timeoutMs: 20_000, killMs: 2_000 };
const COMPLAINT_BYTES = 2_048;
const COMPLAINT_SHOWN = 160;

/** What the program finds in its environment. */
export function hookEnvironment({ event, rig, trip, cause, toDo, at }: Message) {
	return {
		LEES_EVENT: event,
		LEES_RIG: rig,
		LEES_TRIP: trip,
		LEES_CAUSE: cause,
		LEES_TO_DO: toDo,
		LEES_AT: at,
	};
}

/** A program that fails is not run again: it knows best what it has done already. */
export function runHook(
	program: string,
	message: Message,
	signal: AbortSignal,
	{ timeoutMs, killMs }: HookTimes = TIMES,
): Promise<Failure> {
	return new Promise((resolve) => {
		const fail = (why: string) => resolve({ why, isFinal: true });
		let child: ReturnType<typeof start>;
		try {
			child = start(program, message);
		} catch (error) {
			fail(`it cannot be started: ${complaintOf(String(error))}`);
			return;
		}
		let complaint = "";
		let hasTimedOut = false;
		let killTimer: NodeJS.Timeout | undefined;
		const end = () => {
			hasTimedOut = true;
			endGroup(child.pid, "SIGTERM");
			killTimer ??= setTimeout(() => endGroup(child.pid, "SIGKILL"), killMs);
		};
		const timer = setTimeout(end, timeoutMs);
		signal.addEventListener("abort", end, { once: true });
		const settle = () => {
			clearTimeout(timer);
			clearTimeout(killTimer);
			signal.removeEventListener("abort", end);
			// What it has started and left behind may hold it open for ever.
			child.stderr.destroy();
		};
		child.stderr.on("data", (bytes: Buffer) => {
			if (complaint.length < COMPLAINT_BYTES) complaint += bytes.toString();
		});
		child.once("error", (error) => {
			settle();
			fail(`it cannot be started: ${complaintOf(error.message)}`);
		});
		// Not `close`, which waits for the output's end.
		child.once("exit", (status, by) => {
			settle();
			const said = complaintOf(complaint);
			const more = said === "" ? "" : `: ${said}`;
			if (hasTimedOut) fail(`it did not end within ${timeoutMs / 1_000} s${more}`);
			else if (status === 0) resolve(null);
			else fail(`it ended with ${status === null ? by : `status ${status}`}${more}`);
		});
	});
}

function start(program: string, message: Message) {
	return spawn(program, [], {
		env: { ...process.env, ...hookEnvironment(message) },
		stdio: ["ignore", "ignore", "pipe"],
		windowsHide: true,
		// A group of its own, so that what it has started ends with it.
		detached: process.platform !== "win32",
	});
}

function endGroup(pid: number | undefined, signal: NodeJS.Signals): void {
	if (pid === undefined) return;
	try {
		process.kill(process.platform === "win32" ? pid : -pid, signal);
	} catch {
		// It has ended already.
	}
}

const complaintOf = (text: string): string =>
	harmless(text.trim().split("\n")[0] ?? "").slice(0, COMPLAINT_SHOWN);
