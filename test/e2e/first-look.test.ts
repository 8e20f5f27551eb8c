// The end of `npm start`: without a display it says how to come to the bench page and ends as the
// scenario did; on a desktop it asks, serves the page and opens the browser. The terminal is real,
// the desktop's opener is the test's own.

import { type ChildProcess, spawn, spawnSync } from "node:child_process";
import {
	chmodSync,
	existsSync,
	mkdirSync,
	mkdtempSync,
	readFileSync,
	writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { root } from "../stories/world.ts";
import { ownScenario, workshop } from "./cli.ts";
import { until } from "./live.ts";

const firstLook = join(root, ".ci/first-look.mjs");
const HOW = /npx lees serve +and open http:\/\/127\.0\.0\.1:8437\/bench\n$/;
const folder = workshop({});
const processes: ChildProcess[] = [];

/** The desktop of nobody. */
const BARE = { ...process.env, DISPLAY: "", WAYLAND_DISPLAY: "", CI: "", NO_COLOR: "1" };
const look = (cwd: string, env: Record<string, string> = {}) =>
	spawnSync(process.execPath, [firstLook, ownScenario], {
		cwd,
		env: { ...BARE, ...env },
		encoding: "utf8",
		timeout: 60_000,
	});

beforeAll(() => {
	// The pages' build is another stage's; none of them is looked at here.
	const web = join(root, ".build/web");
	if (existsSync(web)) return;
	mkdirSync(web, { recursive: true });
	writeFileSync(join(web, "bench.html"), "<!doctype html><title>bench</title>");
});
afterAll(() => {
	for (const child of processes) child.kill("SIGKILL");
});

describe("without a display", () => {
	it("plays the scenario, says how to come to the page, and ends well", () => {
		const { status, stdout } = look(folder);
		expect(stdout).toContain("Nothing real is pumped");
		expect(stdout).toMatch(HOW);
		expect(status).toBe(0);
	});

	it("asks nothing where there is a display and no terminal", () => {
		const { status, stdout } = look(folder, { DISPLAY: ":77" });
		expect([status, stdout]).toEqual([0, expect.stringMatching(HOW)]);
	});

	it("ends as the scenario did", () => {
		const failing = workshop({
			scenario: (text) => text.replace(/trips: \[.*\]/, "trips: [leak]"),
		});
		const { status, stdout } = look(failing);
		expect([status, stdout]).toEqual([1, expect.stringMatching(HOW)]);
	});
});

/** On a terminal with a display; an opener that writes down what it is to open. */
class Desktop {
	said = "";
	readonly opened: string;
	private readonly child: ChildProcess;

	constructor(opener: "writes" | "fails") {
		const bin = mkdtempSync(join(tmpdir(), "lees-desktop-"));
		this.opened = join(bin, "opened");
		const script = opener === "writes" ? `echo "$@" >> "${this.opened}"` : "exit 3";
		writeFileSync(join(bin, "xdg-open"), `#!/bin/sh\n${script}\n`);
		chmodSync(join(bin, "xdg-open"), 0o755);
		const args = `${firstLook} ${ownScenario} --listen 127.0.0.1:0`;
		// The trap keeps the shell itself alive at Ctrl-C, whichever shell the machine has.
		const shell = `trap : INT; ${process.execPath} ${args}; echo status=$?`;
		this.child = spawn("script", ["-qec", shell, "/dev/null"], {
			cwd: folder,
			env: {
				...BARE,
				DISPLAY: ":77",
				TERM: "xterm",
				PATH: `${bin}:${process.env.PATH}`,
				SHELL: "/bin/sh",
			},
			stdio: ["pipe", "pipe", "ignore"],
		});
		processes.push(this.child);
		this.child.stdout?.on("data", (bytes: Buffer) => {
			this.said += bytes.toString();
		});
	}

	type(keys: string): void {
		this.child.stdin?.write(keys);
	}

	async shows(words: string): Promise<void> {
		await until(() => this.said.includes(words), 30).catch(() => {
			throw new Error(`"${words}" is not in ${JSON.stringify(this.said.slice(-2_000))}`);
		});
	}
}

describe("on a desktop", () => {
	it("opens the page that it serves, until Ctrl-C", { timeout: 90_000 }, async () => {
		const desktop = new Desktop("writes");
		await desktop.shows("Enter opens it, n ends here: ");
		desktop.type("\r");
		await until(() => existsSync(desktop.opened), 30);
		const url = readFileSync(desktop.opened, "utf8").trim();
		expect(url).toMatch(/^http:\/\/127\.0\.0\.1:\d+\/bench$/);
		expect((await fetch(url)).status).toBeLessThan(500);
		desktop.type("\u0003");
		await desktop.shows("status=0");
	});

	it.each([
		["n", "n\r"],
		["Ctrl-C", "\u0003"],
		["Ctrl-D", "\u0004"],
	])("opens nothing after %s, and says how", { timeout: 60_000 }, async (_, keys) => {
		const desktop = new Desktop("writes");
		await desktop.shows("n ends here: ");
		desktop.type(keys);
		await desktop.shows("status=0");
		expect(desktop.said).toContain("npx lees serve");
		expect(existsSync(desktop.opened)).toBe(false);
	});

	it("says what to open where no browser can be", { timeout: 60_000 }, async () => {
		const desktop = new Desktop("fails");
		await desktop.shows("n ends here: ");
		desktop.type("\r");
		await desktop.shows("No browser could be opened: open http://127.0.0.1:");
		desktop.type("\u0003");
		await desktop.shows("status=0");
	});
});
