// The live rig of the end-to-end tests: an emulated board, a controller and a pair of
// pseudo-terminals, each a process of its own, in a folder of the test's own. All real: socat's
// terminals, serialport on both ends, the stock image, SQLite.

import { type ChildProcess, spawn } from "node:child_process";
import { existsSync, mkdtempSync, readFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { LinkClient } from "../../host/link/client.ts";
import { rigFile } from "../stories/world.ts";
import { command, type Ended } from "./cli.ts";

/** A line of the board's own file. */
export interface TraceLine {
	readonly boardMs: number;
	readonly wallMs: number;
	readonly channel?: string;
	readonly level?: "low" | "high" | "floating";
	readonly pumpPowered?: boolean;
	readonly truth?: { litresThroughPump: number; pumpOnSeconds: number };
}

export class LiveRig {
	readonly folder = mkdtempSync(join(tmpdir(), "lees-live-"));
	readonly board = join(this.folder, "board");
	readonly log = join(this.folder, "log");
	readonly archive = join(this.folder, "archive.sqlite");
	/** The link's two ends: the controller's and the laptop's. */
	readonly linkAboard = join(this.folder, "link-aboard");
	readonly linkAshore = join(this.folder, "link-ashore");
	/** What controllers have said on their standard error. */
	told = "";
	/** How often the board was plugged in. */
	private plugged = 0;
	private readonly processes: ChildProcess[] = [];
	private readonly controllers: ChildProcess[] = [];
	private emulator: ChildProcess | undefined;

	/** Board and link; the controller is started apart. @param more options of the board */
	async start(more: readonly string[] = []): Promise<void> {
		const end = (path: string) => `pty,raw,echo=0,link=${path}`;
		this.spawn("socat", [end(this.linkAboard), end(this.linkAshore)]);
		this.plugIn(more);
		await until(() => existsSync(this.linkAshore) && existsSync(this.board), 10);
	}

	/** The emulated board and its supply, as by its cable; each time with a trace of its own. */
	plugIn(more: readonly string[] = []): void {
		this.plugged += 1;
		const args = ["emulate", rigFile, "--link", this.board, "--trace", this.trace, ...more];
		this.emulator = this.spawn(process.execPath, [command, ...args], "pipe");
	}

	/** Pulls the cable out: the board loses its supply and the port is gone. */
	async unplug(): Promise<void> {
		this.emulator?.kill("SIGTERM");
		await until(() => !existsSync(this.board), 5);
	}

	/** Does something at the rig: a word that `lees emulate` knows. */
	do(word: string): void {
		this.emulator?.stdin?.write(`${word}\n`);
	}

	/** Starts the controller and waits until it says so. @param wrap a command to run it under */
	async control(
		wrap: readonly string[] = [],
		board = `firmata:${this.board}`,
		more: readonly string[] = [],
		file = rigFile,
	): Promise<ChildProcess> {
		const args = ["control", file, "--board", board, "--log", this.log];
		const full = [...wrap, process.execPath, command, ...args, "--link", this.linkAboard, ...more];
		const [program = "", ...rest] = full;
		const child = this.spawn(program, rest);
		this.controllers.push(child);
		child.stderr?.on("data", (text: Buffer) => {
			this.told += text.toString();
		});
		let said = "";
		child.stdout?.on("data", (text: Buffer) => {
			said += text.toString();
		});
		await until(() => said.includes("controlling"), 60);
		// A second in which every channel has been heard, and the probe both ways.
		await sleep(1.5);
		return child;
	}

	/** The file of the board that is plugged in now. */
	get trace(): string {
		return join(this.folder, `trace-${this.plugged}.jsonl`);
	}

	/** Waits until the controller believes its board and probe: before that it takes no order. */
	async believes(): Promise<void> {
		const client = await LinkClient.open(this.linkAshore);
		while ((await client.call("senses", {})).sensed?.probe !== "dry") await sleep(0.2);
		await client.close();
	}

	lees(...args: string[]): Promise<Ended> {
		return new Promise((resolve) => {
			const env = { ...process.env, NO_COLOR: "1" };
			const child = spawn(process.execPath, [command, ...args], { cwd: this.folder, env });
			let [stdout, stderr] = ["", ""];
			child.stdout.on("data", (text: Buffer) => {
				stdout += text.toString();
			});
			child.stderr.on("data", (text: Buffer) => {
				stderr += text.toString();
			});
			child.on("close", (status) => resolve({ status, stdout, stderr }));
		});
	}

	edges(): TraceLine[] {
		const lines = readFileSync(this.trace, "utf8").split("\n");
		// The last line may be half written.
		return lines.slice(0, -1).map((line) => JSON.parse(line) as TraceLine);
	}

	/** Whether the motor had volts by the board's own file, latest last. */
	pumpPowered(): boolean {
		return (
			this.edges().findLast(({ pumpPowered }) => pumpPowered !== undefined)?.pumpPowered === true
		);
	}

	pumpDemanded(): boolean {
		return this.edges().findLast(({ channel }) => channel === "pump-demand")?.level === "high";
	}

	async end(): Promise<void> {
		for (const child of this.processes) kill(child);
		await sleep(0.2);
	}

	/** Ends every controller; board and link go on. */
	async endControllers(): Promise<void> {
		for (const child of this.controllers.splice(0)) kill(child);
		await sleep(0.2);
	}

	private spawn(
		program: string,
		args: readonly string[],
		input: "ignore" | "pipe" = "ignore",
	): ChildProcess {
		const child = spawn(program, [...args], {
			cwd: this.folder,
			stdio: [input, "pipe", "pipe"],
			detached: true,
		});
		child.stderr?.resume();
		this.processes.push(child);
		return child;
	}
}

function kill({ pid }: ChildProcess): void {
	try {
		// The whole group: what runs under strace outlives it otherwise.
		if (pid !== undefined) process.kill(-pid, "SIGKILL");
	} catch {
		// It has ended already.
	}
}

export const sleep = (seconds: number) =>
	new Promise<void>((resolve) => setTimeout(resolve, seconds * 1000));

/** Waits until `done`. @throws when it has not come by then */
export async function until(done: () => boolean, secondsMax: number): Promise<void> {
	const end = Date.now() + secondsMax * 1000;
	while (!done()) {
		if (Date.now() > end) throw new Error(`it did not come within ${secondsMax} s`);
		await sleep(0.05);
	}
}
