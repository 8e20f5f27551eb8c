// `lees watch` as a person has it: in a pseudo-terminal of 80 by 24, with keys and signals, a cable
// that goes away, and a pipe. The terminal is given back each time.

import type { ChildProcess } from "node:child_process";
import { stripVTControlCharacters } from "node:util";
import { describe, expect, it } from "vitest";
import { drawLog } from "../archive/drawn-log.ts";
import { CableBench } from "./cable-bench.ts";
import { command } from "./cli.ts";
import { sleep, until } from "./live.ts";

const LEAVE = "\u001b[?25h\u001b[?1049l";
const bench = new CableBench(1, drawLog(3, 4, 60));
const { cable } = bench;

/** The command in a terminal of its own, and a shell behind it that tells what became of that. */
class InTerminal {
	said = "";
	private readonly child: ChildProcess;

	/** @param meanwhile what the shell does behind it */
	constructor(env: Record<string, string> = {}, meanwhile = "") {
		const watch = `exec ${process.execPath} ${command} watch ${cable.ashore} --patience-seconds 20`;
		const shell =
			`stty rows 24 cols 80; ${meanwhile} sh -c 'echo pid=$$; ${watch}'; ` +
			`echo status=$?; stty -a; echo over`;
		this.child = bench.spawn("script", ["-qec", shell, "/dev/null"], {
			env: { ...process.env, TERM: "xterm", ...env },
			stdio: ["pipe", "pipe", "ignore"],
		});
		this.child.stdout?.on("data", (bytes: Buffer) => {
			this.said += bytes.toString();
		});
	}

	async shows(words: string, seconds = 15): Promise<void> {
		await until(() => this.said.includes(words), seconds).catch(() => {
			throw new Error(`"${words}" is not in ${JSON.stringify(this.said.slice(-3_000))}`);
		});
	}

	type(keys: string): void {
		this.child.stdin?.write(keys);
	}

	signal(name: NodeJS.Signals): void {
		process.kill(Number(/pid=(\d+)/.exec(this.said)?.[1]), name);
	}

	/** What the shell finds after it: status 0, cursor and screen back, lines and echo as before. */
	async expectGivenBack(): Promise<void> {
		await this.shows("over");
		const [before = "", after = ""] = this.said.split("status=");
		expect(before).toContain(LEAVE);
		expect(before.lastIndexOf(LEAVE)).toBeGreaterThan(before.lastIndexOf("\u001b[?1049h"));
		expect(after).toMatch(/^0\r?\n/);
		expect(after).toMatch(/[^-]icanon/);
		expect(after).toMatch(/[^-]echo /);
	}
}

describe("in a terminal", () => {
	it.each([
		["q", (terminal: InTerminal) => terminal.type("q")],
		["Ctrl-C", (terminal: InTerminal) => terminal.type("\u0003")],
		["SIGTERM", (terminal: InTerminal) => terminal.signal("SIGTERM")],
		["SIGHUP", (terminal: InTerminal) => terminal.signal("SIGHUP")],
	])("shows the rig, and %s gives the terminal back", { timeout: 40_000 }, async (_, end) => {
		const terminal = new InTerminal();
		await terminal.shows("Lees: Drawn rig, boot");
		await terminal.shows("Readings flow");
		end(terminal);
		await terminal.expectGivenBack();
	});

	it("says how old all of it is while the line is gone, and goes on when it is back", {
		timeout: 60_000,
	}, async () => {
		const terminal = new InTerminal();
		await terminal.shows("Readings flow");
		// Without a serial number that the system lists, it comes back under the same name.
		await cable.pull(3, false);
		await terminal.shows("looking for it; what is shown is 2 s old");
		await terminal.shows("now unknown");
		terminal.said = terminal.said.slice(0, terminal.said.indexOf("\n") + 1);
		await terminal.shows("Link     up");
		terminal.type("q");
		await terminal.shows("status=0");
	});

	it("fits a terminal that is made smaller", { timeout: 40_000 }, async () => {
		const terminal = new InTerminal({}, "(sleep 3; stty rows 10 cols 40 </dev/tty) &");
		await terminal.shows("Readings flow");
		await sleep(5);
		terminal.type("q");
		await terminal.expectGivenBack();
		const frames = (terminal.said.split(LEAVE)[0] ?? "").split("\u001b[H");
		const sizes = frames.slice(1).map((frame) => {
			// The terminal puts a return before each line feed once more.
			const lines = stripVTControlCharacters(frame).split(/\r*\n/);
			return { rows: lines.length, columns: Math.max(...lines.map((line) => line.length)) };
		});
		expect(sizes[0]).toMatchObject({ rows: 24 });
		expect(sizes.at(-1)?.rows).toBeLessThanOrEqual(10);
		expect(sizes.at(-1)?.columns).toBeLessThanOrEqual(40);
	});

	it("shows no colour where none is wanted", { timeout: 40_000 }, async () => {
		const terminal = new InTerminal({ NO_COLOR: "1" });
		await terminal.shows("Readings flow");
		expect(terminal.said.includes("\u001b[1m")).toBe(false);
		expect(stripVTControlCharacters(terminal.said)).toContain("Diesel burns.");
		terminal.type("q");
		await terminal.expectGivenBack();
	});
});

describe("in a pipe", () => {
	it("says a line at each change, and ends with 0", { timeout: 40_000 }, async () => {
		const child = bench.spawn(process.execPath, [command, "watch", cable.ashore], {
			stdio: ["ignore", "pipe", "pipe"],
		});
		let said = "";
		child.stdout?.on("data", (bytes: Buffer) => {
			said += bytes.toString();
		});
		await until(() => said.includes("\n"), 15);
		await sleep(2.5);
		expect(said).toMatch(/^\d{4}-\d\d-\d\dT[\d:.]+Z Drawn rig: idle, pump OFF\n$/);
		await cable.pull(2, false);
		await until(() => said.includes("link lost"), 15);
		await until(() => said.trim().split("\n").length === 3, 15);
		child.kill("SIGTERM");
		await until(() => child.exitCode !== null, 10);
		expect(child.exitCode).toBe(0);
	});
});
