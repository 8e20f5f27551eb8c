// What a person meets when a port, a board, a frame or an archive is not what it should be: a clear
// error, exit 2, no stack trace, nothing lost.

import { existsSync, mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Database from "better-sqlite3";
import { SerialPort } from "serialport";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { sealed } from "../../firmware/link/framing.ts";
import { openSerialLine } from "../../firmware/link/serial-line.ts";
import { rigFile } from "../stories/world.ts";
import { lees } from "./cli.ts";
import { LiveRig, sleep, until } from "./live.ts";

const rig = new LiveRig();
beforeAll(() => rig.start(), 30_000);
afterAll(() => rig.end());

const folder = mkdtempSync(join(tmpdir(), "lees-faults-"));
const file = (name: string) => join(folder, name);

function expectRefusal(
	{ status, stderr }: { status: number | null; stderr: string },
	says: string,
) {
	expect(stderr).toContain(says);
	expect(stderr).not.toMatch(/\n\s+at /);
	expect(status).toBe(2);
}

describe("a port", () => {
	const control = (board: string, log: string) =>
		lees(["control", rigFile, "--board", board, "--log", file(log)]);

	it("that does not exist", () => {
		expectRefusal(lees(["pull", "/dev/no-such", "--archive", file("a.sqlite")]), "no such port");
		expectRefusal(lees(["order", "stop", "/dev/no-such"]), "no such port");
	});

	it("that is no serial device", () => {
		writeFileSync(file("plain"), "text");
		expectRefusal(
			control(`firmata:${file("plain")}`, "b"),
			"found something that is no serial port",
		);
	});

	it("that another program holds", async () => {
		const held = await openSerialLine(rig.linkAshore, 115_200);
		const refused = await rig.lees("order", "stop", rig.linkAshore);
		expectRefusal(refused, "found a port in use by another program");
		await new Promise<void>((resolve) => held.close(() => resolve()));
	});

	it("with a spelling that names no board", () => {
		expectRefusal(
			control("serial:/dev/x", "c"),
			"found serial:/dev/x; allowed: firmata:PORT, plugin, plugin:MODULE or model",
		);
	});
});

describe("a line", () => {
	it("whose board never answers", { timeout: 60_000 }, async () => {
		// The link's far end is open to nobody: bytes go out and nothing comes back.
		const args = ["--board", `firmata:${rig.linkAboard}`, "--log", file("d")];
		const refused = await rig.lees("control", rigFile, ...args);
		expectRefusal(refused, "the board does not answer within 12000 ms");
	});

	it("whose controller never answers", { timeout: 60_000 }, async () => {
		const refused = await rig.lees("pull", rig.linkAshore, "--archive", file("f.sqlite"));
		expectRefusal(refused, "found no answer");
	});

	it("that is not there when the controller starts is served when it comes", {
		timeout: 60_000,
	}, async () => {
		const later = new LiveRig();
		await later.control([], "model");
		await later.start();
		await sleep(3);
		const stopped = await later.lees("order", "stop", later.linkAshore);
		expect(stopped).toMatchObject({ status: 0, stdout: "stop accepted\n" });
		await later.end();
	});

	it("that damages every frame", { timeout: 60_000 }, async () => {
		const far = new SerialPort({ path: rig.linkAboard, baudRate: 115_200 });
		far.on("data", () => {
			const frame = sealed(Buffer.from('{"jsonrpc":"2.0","id":1,"result":{}}'));
			frame[5] = (frame[5] ?? 0) ^ 0x40;
			far.write(Buffer.concat([Buffer.from([0xc0]), frame, Buffer.from([0xc0])]));
		});
		const refused = await rig.lees("pull", rig.linkAshore, "--archive", file("e.sqlite"));
		expectRefusal(refused, "damaged frame(s) (wrong CRC or length) and no good one");
		await new Promise<void>((resolve) => far.close(() => resolve()));
	});
});

describe("an archive", () => {
	it("that is not there", () => {
		expectRefusal(lees(["runs", "--archive", file("none.sqlite")]), "found no such archive");
	});

	it("that is a text, and is left as it was", () => {
		writeFileSync(file("notes.txt"), "oil change in spring\n");
		expectRefusal(lees(["totals", "--archive", file("notes.txt")]), "a file that is no archive");
		expect(readFileSync(file("notes.txt"), "utf8")).toBe("oil change in spring\n");
	});

	it("that is somebody else's database, and is left as it was", () => {
		const db = new Database(file("other.sqlite"));
		db.exec("CREATE TABLE songs (name TEXT); INSERT INTO songs VALUES ('one')");
		db.close();
		const before = readFileSync(file("other.sqlite"));
		expectRefusal(
			lees(["runs", "--archive", file("other.sqlite")]),
			"a database that is no archive",
		);
		expect(readFileSync(file("other.sqlite")).equals(before)).toBe(true);
	});

	it("that is of a newer version", () => {
		const db = new Database(file("newer.sqlite"));
		db.exec("CREATE TABLE records (a)");
		db.pragma(`application_id = ${0x4c454541}`);
		db.pragma("user_version = 99");
		db.close();
		expectRefusal(lees(["runs", "--archive", file("newer.sqlite")]), "an archive of version 99");
	});

	it("that is an empty file, and is left as it was", () => {
		writeFileSync(file("empty.sqlite"), "");
		expectRefusal(lees(["runs", "--archive", file("empty.sqlite")]), "a file that is no archive");
		expect(readFileSync(file("empty.sqlite")).length).toBe(0);
	});

	it("is not made when nobody answers", () => {
		lees(["pull", "/dev/no-such", "--archive", file("never.sqlite")]);
		expect(existsSync(file("never.sqlite"))).toBe(false);
	});

	it("that is a folder", () => {
		expectRefusal(lees(["runs", "--archive", folder]), "found a directory");
	});
});

describe("an emulated board", () => {
	it("does not replace a file that stands at its port's path", () => {
		writeFileSync(file("keep.txt"), "mine");
		expectRefusal(
			lees(["emulate", rigFile, "--link", file("keep.txt")]),
			"something that is there",
		);
		expect(readFileSync(file("keep.txt"), "utf8")).toBe("mine");
	});

	it("does not replace a file that is named as its trace", () => {
		const args = ["emulate", rigFile, "--link", file("port"), "--trace", file("keep.txt")];
		expectRefusal(lees(args), "something that is there");
		expect(readFileSync(file("keep.txt"), "utf8")).toBe("mine");
	});

	it("has no less than no water", () => {
		const args = ["emulate", rigFile, "--link", file("port"), "--water-ml", "-5"];
		expectRefusal(lees(args), "0 to 10000 mL");
	});
});

describe("a record store", () => {
	it("that another controller holds is refused", { timeout: 60_000 }, async () => {
		const controller = await rig.control([], "model");
		const args = ["control", rigFile, "--board", "model", "--log", rig.log];
		expectRefusal(await rig.lees(...args), "database is locked");
		controller.kill("SIGTERM");
		await until(() => controller.exitCode !== null, 10);
	});
});
