// The whole controller when its log fails, aboard a rig model: a disk that is full or gives errors
// in mid-run, one that gives no store at all, a log that is broken, one that is not ours. The pump
// is off, orders are refused with the reason, ticks and link go on, and nothing is deleted.

import { type ChildProcess, spawn } from "node:child_process";
import { mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import Database from "better-sqlite3";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { Status } from "../../firmware/link/protocol.ts";
import { LinkClient } from "../../host/link/client.ts";
import { rigFile } from "../stories/world.ts";
import { LiveRig, sleep, until } from "./live.ts";

let rig: LiveRig;
const straces: ChildProcess[] = [];
beforeEach(async () => {
	rig = new LiveRig();
	await rig.start();
}, 30_000);
afterEach(async () => {
	for (const strace of straces.splice(0)) strace.kill("SIGKILL");
	await rig.endControllers();
	await rig.end();
});

const logFile = (name = "log.sqlite") => join(rig.log, name);
const paths = () => ["log.sqlite", "log.sqlite-wal", ""].flatMap((name) => ["-P", logFile(name)]);

/** A disk that does so from now on. */
async function failing({ pid }: ChildProcess, call: string, error: string): Promise<void> {
	const inject = ["-e", `trace=${call}`, "-e", `inject=${call}:error=${error}`];
	const strace = spawn("strace", ["-f", "-p", String(pid), ...paths(), ...inject]);
	straces.push(strace);
	let said = "";
	strace.stderr.on("data", (text: Buffer) => {
		said += text.toString();
	});
	await until(() => said.includes("attached"), 10);
}

async function ask<T>(question: (client: LinkClient) => Promise<T>): Promise<T> {
	const client = await LinkClient.open(rig.linkAshore);
	try {
		return await question(client);
	} finally {
		await client.close();
	}
}

const status = () => ask((client) => client.call("status", {}));

async function untilStatus(holds: (now: Status) => boolean, secondsMax: number): Promise<Status> {
	const end = Date.now() + secondsMax * 1000;
	for (;;) {
		const now = await status();
		if (holds(now)) return now;
		if (Date.now() > end) throw new Error(`it did not come: ${JSON.stringify(now)}`);
		await sleep(0.1);
	}
}

const orderPolish = () =>
	rig.lees("order", "polish", rig.linkAshore, "--tank", "port", "--litres", "5", "--attended");

/** It ends well all the same. */
async function expectEnd(controller: ChildProcess): Promise<void> {
	controller.kill("SIGTERM");
	await until(() => controller.exitCode !== null, 10);
	expect(controller.exitCode).toBe(0);
}

describe("a log that fails in mid-run", () => {
	it.each([
		["a full disk", "pwrite64", "ENOSPC"],
		["errors on sync", "fsync", "EIO"],
	])("stops the pump: %s", { timeout: 180_000 }, async (_, call, error) => {
		const controller = await rig.control([], "model");
		expect((await orderPolish()).stdout).toBe("polish accepted\n");
		await untilStatus(({ pumpDemanded, state }) => pumpDemanded && state === "priming", 60);
		await failing(controller, call, error);
		const failed = await untilStatus(({ state }) => state === "tripped", 5);
		expect(failed).toMatchObject({ pumpDemanded: false, logFailed: true });
		expect(failed.trips.map(({ code }) => code)).toEqual(["log-failed"]);
		const refused = await orderPolish();
		expect(refused.status).toBe(1);
		expect(refused.stdout).toContain("the log has failed");
		const { ticks } = await status();
		await sleep(0.5);
		expect((await status()).ticks).toBeGreaterThan(ticks);
		await expectEnd(controller);

		// The run's end is not in the log: a restart finds it open, with what was durable of it.
		for (const strace of straces.splice(0)) strace.kill("SIGKILL");
		const again = await rig.control([], "model");
		const found = await status();
		expect(found).toMatchObject({ state: "tripped", pumpDemanded: false, logFailed: false });
		expect(found.trips.map(({ code }) => code)).toEqual(["interrupted"]);
		expect(readdirSync(rig.log).filter((name) => name.includes("broken"))).toEqual([]);
		await expectEnd(again);
	});
});

describe("a disk that gives no store", () => {
	it("lets the controller start tripped, refuse orders and answer", {
		timeout: 120_000,
	}, async () => {
		const strace = ["strace", "-f", "--seccomp-bpf", "-o", "/dev/null", ...paths()];
		const readOnly = ["-e", "trace=openat,mkdir", "-e", "inject=openat,mkdir:error=EROFS"];
		await rig.control([...strace, ...readOnly], "model");
		const now = await status();
		expect(now).toMatchObject({ state: "tripped", pumpDemanded: false, logFailed: true });
		expect(now.trips).toMatchObject([{ code: "log-failed" }]);
		expect(now.trips[0]?.cause).toContain("no record can be kept: EROFS");
		const refused = await orderPolish();
		expect(refused.status).toBe(1);
		expect(refused.stdout).toContain("the log has failed");
		const stop = await rig.lees("order", "stop", rig.linkAshore);
		expect(stop.status).toBe(0);
		expect((await status()).ticks).toBeGreaterThan(now.ticks);
	});
});

describe("a log that is broken", () => {
	it("is set aside as it was; the controller is tripped, and still is after a restart", {
		timeout: 120_000,
	}, async () => {
		const notes = "not a database, but somebody's notes\n".repeat(20);
		mkdirSync(rig.log);
		writeFileSync(logFile(), notes);
		for (const boot of [1, 2]) {
			const controller = await rig.control([], "model");
			const now = await status();
			expect(now).toMatchObject({ state: "tripped", pumpDemanded: false, logFailed: false });
			expect(now.trips).toMatchObject([
				{ code: "log-failed", cause: expect.stringContaining("kept as log.broken-1.sqlite") },
			]);
			expect((await ask((client) => client.call("hello", {}))).boot).toBe(boot);
			expect((await orderPolish()).stdout).toContain("the controller is tripped");
			await expectEnd(controller);
		}
		expect(readFileSync(logFile("log.broken-1.sqlite"), "utf8")).toBe(notes);
		expect(readdirSync(rig.log).sort()).toEqual(["log.broken-1.sqlite", "log.sqlite"]);
	});
});

describe("a log that is not ours", () => {
	it.each([
		["another program's", 77, 1, "found a database that is no record store"],
		["a newer version's", 0x4c454553, 9, "found a record store of version 9, newer than"],
	])("is refused untouched: %s", async (_, application, version, says) => {
		mkdirSync(rig.log);
		const db = new Database(logFile());
		db.exec(`PRAGMA application_id = ${application}; PRAGMA user_version = ${version};
			CREATE TABLE songs (name TEXT)`);
		db.close();
		const before = readFileSync(logFile());
		const { status, stderr } = await rig.lees(
			...["control", rigFile, "--board", "model", "--log", rig.log],
		);
		expect({ status, stderr }).toEqual({ status: 2, stderr: expect.stringContaining(says) });
		expect(readFileSync(logFile()).equals(before)).toBe(true);
		expect(readdirSync(rig.log)).toEqual(["log.sqlite"]);
	});

	it("is refused: a size under 16 MB", async () => {
		const args = ["control", rigFile, "--board", "model", "--log", rig.log];
		const { status, stderr } = await rig.lees(...args, "--log-megabytes", "15");
		expect({ status, stderr }).toEqual({
			status: 2,
			stderr: expect.stringContaining("16 to 100000 MB"),
		});
	});
});
