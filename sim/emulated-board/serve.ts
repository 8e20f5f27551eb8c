// The emulated board in real time on a pseudo-terminal, as a process of its own: what is plugged
// into the other end sees a board on a serial port. Pin edges, contacts and truth go to a file, one
// JSON object a line, so that a test or a person sees what the board did whatever became of the
// controller. The pseudo-terminal is socat's; its end here is a pipe.

import { type ChildProcess, spawn } from "node:child_process";
import { closeSync, openSync, writeSync } from "node:fs";
import type { PinMap } from "../../firmware/config/pins.ts";
import type { Rig } from "../../firmware/config/rig.ts";
import { RigModel, type WorldStart } from "../rig.ts";
import { Hands } from "./hands.ts";
import { WiredBoard } from "./wiring.ts";

const SLICE_MS = 5;
const TRUTH_EVERY_MS = 1_000;
/** A process that was stopped for longer does not make up for it. */
const BEHIND_MS_MAX = 500;

export interface Serving {
	/** Resolves with the reason when the pseudo-terminal is gone. */
	readonly ended: Promise<string>;
	/** A word of hands.ts. @returns what there is to tell; null for a word that nobody knows */
	lendHand(word: string): string | null;
	close(): void;
}

/**
 * @param link path of the pseudo-terminal to make
 * @param trace file for edges and truth
 * @throws Error when socat is missing or the file cannot be written
 */
export async function serveBoard(
	rig: Rig,
	pins: PinMap,
	world: WorldStart,
	link: string,
	trace: string,
): Promise<Serving> {
	const socat = await openTerminal(link);
	const out = openSync(trace, "w");
	// What is written after the port has gone is lost; its end is told below.
	socat.stdin?.on("error", () => {});
	const model = new RigModel(rig, world);
	const wired = new WiredBoard(model, pins);
	const say = (what: object) => {
		const line = { boardMs: wired.nowMs, wallMs: Date.now(), ...what };
		writeSync(out, `${JSON.stringify(line)}\n`);
	};
	socat.stdout?.on("data", (bytes: Buffer) => wired.board.receive(bytes));
	wired.board.onByte = (byte) => socat.stdin?.write(Buffer.from([byte]));
	wired.onEdge = (channel, level) => say({ channel, level });
	let contacts = "";
	wired.onStep = (nowMs) => {
		const { k1Closed, k2Closed, motor } = model;
		const now = { k1Closed, k2Closed, pumpPowered: motor.powered };
		const text = JSON.stringify(now);
		if (text !== contacts) say(now);
		contacts = text;
		if (nowMs % TRUTH_EVERY_MS === 0) say({ truth: model.truth });
	};

	let originMs = performance.now();
	const timer = setInterval(() => {
		const behind = performance.now() - originMs - wired.nowMs;
		if (behind > BEHIND_MS_MAX) originMs += behind - BEHIND_MS_MAX;
		while (wired.nowMs < performance.now() - originMs) wired.runMs();
	}, SLICE_MS);

	const close = () => {
		clearInterval(timer);
		socat.kill();
		closeSync(out);
	};
	const ended = new Promise<string>((resolve) => {
		socat.once("exit", (code) => {
			clearInterval(timer);
			resolve(`socat ended with ${code}`);
		});
	});
	const hands = new Hands(model, wired);
	return { ended, lendHand: (word) => hands.lend(word), close };
}

async function openTerminal(link: string): Promise<ChildProcess> {
	const terminal = `pty,raw,echo=0,link=${link}`;
	const socat = spawn("socat", ["-d", "-d", "-", terminal], { stdio: ["pipe", "pipe", "pipe"] });
	let said = "";
	await new Promise<void>((resolve, reject) => {
		socat.once("error", () => reject(new Error("socat is missing (Debian package socat)")));
		socat.once("exit", () => reject(new Error(`socat could not make the port: ${said.trim()}`)));
		socat.stderr?.on("data", (text: Buffer) => {
			said += text.toString();
			if (said.includes("starting data transfer loop")) resolve();
		});
	});
	return socat;
}
