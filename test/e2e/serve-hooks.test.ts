// `lees serve` with hooks: a controller trips, and a program and an address on this computer are
// told, whatever the pages do. What cannot work is refused before anything is opened.

import { type ChildProcess, spawn } from "node:child_process";
import { chmodSync, existsSync, readFileSync, writeFileSync } from "node:fs";
import { createServer } from "node:http";
import type { AddressInfo } from "node:net";
import { dirname, join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { command, lees } from "./cli.ts";
import { until } from "./live.ts";
import { SocketController } from "./serve-rig.ts";

const processes: ChildProcess[] = [];
afterAll(() => {
	for (const child of processes) child.kill("SIGKILL");
});

describe("a trip", () => {
	it("is told by program and webhook, once, and the server ends as ever", {
		timeout: 60_000,
	}, async () => {
		const controller = new SocketController();
		await controller.start();
		const folder = dirname(controller.socket);
		const lines = join(folder, "lines");
		const program = join(folder, "ashore");
		writeFileSync(program, `#!/bin/sh\necho "$LEES_EVENT $LEES_RIG $LEES_TRIP" >> "${lines}"\n`);
		chmodSync(program, 0o755);
		const got: Array<Record<string, string>> = [];
		const address = createServer((request, response) => {
			request.on("data", (bytes: Buffer) => got.push(JSON.parse(bytes.toString())));
			request.on("end", () => response.end());
		});
		await new Promise<void>((resolve) => address.listen(0, "127.0.0.1", resolve));
		const url = `http://127.0.0.1:${(address.address() as AddressInfo).port}/`;

		const args = ["serve", controller.socket, "--listen", "127.0.0.1:0"];
		const hooks = ["--on-trip", program, "--webhook", url];
		const child = spawn(process.execPath, [command, ...args, ...hooks]);
		processes.push(child);
		let said = "";
		child.stderr.on("data", (bytes: Buffer) => {
			said += bytes.toString();
		});
		await until(() => said.includes("the controller answers"), 30);
		expect(got).toEqual([]);
		const cause = "the stop button was pressed";
		controller.status = { ...controller.status, state: "tripped" };
		controller.status = { ...controller.status, trips: [{ code: "stop-button", cause }] };
		await until(() => got.length === 1 && existsSync(lines), 20);
		expect(got[0]).toMatchObject({ event: "trip", rig: "Teal Willow", trip: "stop-button", cause });
		expect(readFileSync(lines, "utf8")).toBe("trip Teal Willow stop-button\n");
		child.kill("SIGTERM");
		await until(() => child.exitCode !== null, 10);
		expect(child.exitCode).toBe(0);
		expect(got.length).toBe(1);
		address.close();
		await controller.die();
	});
});

describe("what cannot work", () => {
	it.each([
		["a program that is not there", ["/none", "--on-trip", "no-such-program"], "--on-trip"],
		["an address elsewhere", ["/none", "--webhook", "http://192.168.1.5/"], "--webhook-anywhere"],
		["hooks without a controller", ["--on-trip", "sh"], "a PORT"],
		["an interval with nothing to tell it to", ["--tell-again-minutes", "5"], "--on-trip CMD"],
		["an interval of nothing", ["--on-trip", "sh", "--tell-again-minutes", "0"], "1 to 10000"],
	])("is refused: %s", (_, args, words) => {
		const { status, stderr } = lees(["serve", "--listen", "127.0.0.1:0", ...args], "/", {}, 20_000);
		expect([status, stderr]).toEqual([2, expect.stringContaining(words)]);
		expect(stderr).not.toContain("    at ");
	});
});
