// A rig as its people have it on board: an emulated board or the rig model, `lees control`, and
// `lees serve` before it, each a process of its own; and the terminal of the controller, where its
// codes are shown. Only an emulated board has a box, and water.

import { type ChildProcess, spawn } from "node:child_process";
import { join } from "node:path";
import { command } from "../e2e/cli.ts";
import { LiveRig, sleep, until } from "../e2e/live.ts";

export class WholeRig {
	readonly live = new LiveRig();
	readonly socket = join(this.live.folder, "link");
	/** Where the pages are. */
	origin = "";
	/** What the controllers have said on their terminal. */
	private terminal = "";
	private board = "model";
	private controller: ChildProcess | null = null;
	private server: ChildProcess | null = null;

	/** @param emulated options of the emulated board; without them it is the rig model */
	async start(emulated: readonly string[] | null): Promise<void> {
		if (emulated !== null) {
			await this.live.start(emulated);
			this.board = `firmata:${this.live.board}`;
		}
		await this.control();
		await this.serve();
	}

	/** Starts the controller, also after another one's end. */
	async control(): Promise<void> {
		const controller = await this.live.control([], this.board, ["--socket", this.socket]);
		controller.stdout?.on("data", (text: Buffer) => {
			this.terminal += text.toString();
		});
		this.controller = controller;
	}

	/** Kills the controller as a fault would: it says nothing and writes nothing. */
	async killController(): Promise<void> {
		const { controller } = this;
		controller?.kill("SIGKILL");
		await until(() => controller?.signalCode !== null, 10);
	}

	/** The code that stands on the terminal now, as a person reads it. */
	code(): string {
		const codes = [...this.terminal.matchAll(/: (\d{6})\n/g)];
		return codes.at(-1)?.[1] ?? "no code";
	}

	async end(): Promise<void> {
		this.server?.kill("SIGTERM");
		await this.live.endControllers();
		await this.live.end();
	}

	private async serve(): Promise<void> {
		const { folder, archive } = this.live;
		const args = ["serve", this.socket, "--listen", "127.0.0.1:0", "--archive", archive];
		const server = spawn(process.execPath, [command, ...args], {
			cwd: folder,
			stdio: ["ignore", "pipe", "pipe"],
		});
		this.server = server;
		let said = "";
		for (const stream of [server.stdout, server.stderr]) {
			stream.on("data", (text: Buffer) => {
				said += text.toString();
			});
		}
		await until(() => /pages at http/.test(said), 30).catch(() => {
			throw new Error(`the server says: ${said}`);
		});
		this.origin = /pages at (http:\/\/[^/\s]+)/.exec(said)?.[1] ?? "";
		await sleep(0.5);
	}
}
