// What the controller's unit starts, word for word but for its places, against the emulated board,
// and what a stand-in for the service manager is told: ready, alive from the ticks, how it stands,
// ending. The pump's safety hangs on none of it: with a controller that is stopped dead it stops.

import { type ChildProcess, spawn } from "node:child_process";
import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { execStart, FIRST, freshRoot, install, settingOf } from "../hardware/installed.ts";
import { root } from "../stories/world.ts";
import { lees } from "./cli.ts";
import { LiveRig, sleep, until } from "./live.ts";

interface Told {
	readonly atMs: number;
	readonly pid: number;
	readonly text: string;
}

const UNIT = "lees-control.service";
const rig = new LiveRig();
const into = freshRoot();
const runFolder = join(into, "run/lees");
const socket = join(rig.folder, "notify");
const told: Told[] = [];
const children: ChildProcess[] = [];

function start(program: string, args: readonly string[], env: Record<string, string> = {}) {
	const child = spawn(program, [...args], {
		cwd: rig.folder,
		env: { ...process.env, ...env },
		stdio: ["ignore", "pipe", "pipe"],
	});
	children.push(child);
	return child;
}

beforeAll(async () => {
	expect(install(into, ...FIRST, "--link", "cable", "--link-serial", "A50285BI").status).toBe(0);
	mkdirSync(runFolder, { recursive: true, mode: 0o700 });
	const manager = start("python3", ["-B", join(root, "test/hardware/notice-listener.py"), socket]);
	let rest = "";
	manager.stdout?.on("data", (bytes: Buffer) => {
		const lines = (rest + bytes.toString()).split("\n");
		rest = lines.pop() ?? "";
		told.push(...lines.map((line) => JSON.parse(line) as Told));
	});
	await rig.start();
	await until(() => told.length === 1, 10);
}, 60_000);
afterAll(async () => {
	for (const child of children) child.kill("SIGKILL");
	await rig.end();
});

const beats = () => told.filter(({ text }) => text.includes("WATCHDOG=1"));
const statuses = () => told.flatMap(({ text }) => /STATUS=(.*)/.exec(text)?.[1] ?? []);

const words = () =>
	execStart(into, UNIT, [
		["/etc/lees", join(into, "etc/lees")],
		["/var/lib/lees", join(into, "var/lib/lees")],
		["/run/lees", runFolder],
		["/dev/lees-board", rig.board],
		["/dev/lees-link", rig.linkAboard],
	]);

describe("the controller as the service manager starts it", () => {
	it("is ready, alive from its ticks, tells how it stands, and that it ends", {
		timeout: 180_000,
	}, async () => {
		const [program = "", ...args] = words();
		const watchdogMs = Number.parseFloat(settingOf(into, UNIT, "WatchdogSec")) * 1000;
		expect(watchdogMs).toBe(10_000);
		const controller = start(program, args, {
			NOTIFY_SOCKET: socket,
			WATCHDOG_USEC: String(watchdogMs * 1000),
		});
		await until(() => told.length > 1, 60);
		expect(told[1]?.text).toMatch(/^READY=1\nWATCHDOG=1\nSTATUS=/);
		await until(() => statuses().includes("idle; pump off"), 10);
		await sleep(7);
		const gaps = beats().map(({ atMs }, i, all) => atMs - (all[i - 1]?.atMs ?? atMs - 2_000));
		expect(gaps.length).toBeGreaterThanOrEqual(4);
		// A machine with other work may be late; half of the patience is what the manager asks for.
		expect(Math.max(...gaps)).toBeLessThan(watchdogMs / 2);
		expect(Math.min(...gaps)).toBeGreaterThan(1_500);
		// By the word of the process that the manager started, as NotifyAccess=main asks.
		for (const { pid } of told.slice(1)) expect(pid).toBe(controller.pid);
		expect(told.filter(({ text }) => text.includes("READY=1")).length).toBe(1);

		const order = ["order", "polish", rig.linkAshore, "--tank", "port", "--litres", "5"];
		expect((await rig.lees(...order, "--attended")).status).toBe(0);
		await until(() => rig.pumpPowered(), 40);
		await until(() => statuses().some((words) => /; pump asked for$/.test(words)), 10);

		// Stopped dead: no sign of life any more, and long before that is missed, no pump.
		const stoppedMs = Date.now();
		controller.kill("SIGSTOP");
		await sleep(0.5);
		const before = told.length;
		await until(() => !rig.pumpPowered(), 5);
		expect(Date.now() - stoppedMs).toBeLessThan(2_500);
		await sleep(5);
		expect(told.length).toBe(before);
		controller.kill("SIGCONT");
		await until(() => told.length > before, 10);

		controller.kill("SIGTERM");
		await until(() => controller.exitCode !== null, 15);
		expect(controller.exitCode).toBe(0);
		await until(() => told.some(({ text }) => text.includes("STOPPING=1")), 5);
		expect(told.at(-1)?.text).toContain("STOPPING=1");
	});

	it("runs untold where the manager's socket was not handed down, and says so", () => {
		const command = words().slice(1);
		const given = ["control", command[3] ?? "", "--board", "plugin:no-such-module"];
		const log = ["--log", join(rig.folder, "other-log")];
		const ended = lees([...given, ...log], rig.folder, { NOTIFY_SOCKET: socket });
		expect(ended.status).toBe(2);
		expect(ended.stderr).toContain("the service manager is told nothing");
		// A number that is another open file must not be written into.
		const other = { NOTIFY_SOCKET: socket, LEES_NOTIFY_FD: "1" };
		expect(lees([...given, ...log], rig.folder, other).stderr).toContain("told nothing");
	});
});
