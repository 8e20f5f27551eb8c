// The link on a local socket: for its owner alone, at a path where nothing else stands, several
// clients at once and beside a serial line.

import { spawnSync } from "node:child_process";
import {
	chmodSync,
	existsSync,
	lstatSync,
	mkdirSync,
	mkdtempSync,
	readFileSync,
	writeFileSync,
} from "node:fs";
import { connect, createServer, type Server } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { listenLocally, serveClients } from "../../firmware/link/local-socket.ts";
import { LinkClient } from "../../host/link/client.ts";
import { linked } from "../stories/link-rig.ts";
import { rigFile } from "../stories/world.ts";
import { lees } from "./cli.ts";
import { LiveRig, until } from "./live.ts";

const folder = mkdtempSync(join(tmpdir(), "lees-socket-"));
// The folder lets everybody in, so that the socket's own rights are what keeps them out.
chmodSync(folder, 0o755);
const path = (name: string) => join(folder, name);
const listeners: Server[] = [];
afterAll(() => {
	for (const listener of listeners) listener.close();
});

async function serve(at: string) {
	const rig = linked();
	const listener = await listenLocally(at);
	serveClients(listener, rig.server);
	listeners.push(listener);
	return { ...rig, listener };
}

/** Leaves a socket behind as a controller does that was killed. */
function leaveStale(at: string): void {
	const script = `require("net").createServer().listen(${JSON.stringify(at)},
		() => process.kill(process.pid, "SIGKILL"))`;
	spawnSync(process.execPath, ["-e", script]);
	expect(lstatSync(at).isSocket()).toBe(true);
}

describe("the socket", () => {
	it("has mode 0600 whatever the umask, which stays as it was", async () => {
		const before = process.umask(0);
		await serve(path("own"));
		expect(process.umask(before)).toBe(0);
		expect(lstatSync(path("own")).mode & 0o777).toBe(0o600);
	});

	it("lets no other user in", async () => {
		await serve(path("mine"));
		const script = `require("net").connect(${JSON.stringify(path("mine"))})
			.on("connect", () => process.exit(0))
			.on("error", (e) => { console.log(e.code); process.exit(1) })`;
		const nobody = ["--reuid", "65534", "--clear-groups", process.execPath, "-e", script];
		// Only root can become somebody else; for anybody else the rights themselves must do.
		if (process.getuid?.() === 0) {
			const { stdout, status } = spawnSync("setpriv", nobody, { encoding: "utf8" });
			expect([stdout, status]).toEqual(["EACCES\n", 1]);
		}
		expect(lstatSync(path("mine")).mode & 0o777).toBe(0o600);
		expect(lstatSync(path("mine")).uid).toBe(process.getuid?.());
	});

	it("replaces one that a dead controller has left", async () => {
		leaveStale(path("stale"));
		await serve(path("stale"));
		const client = await LinkClient.open(path("stale"));
		expect((await client.call("hello", {})).protocol).toBe(2);
		await client.close();
	});

	it("does not replace one that somebody serves", async () => {
		await serve(path("live"));
		await expect(listenLocally(path("live"))).rejects.toThrow("a socket that somebody serves");
		const client = await LinkClient.open(path("live"));
		expect((await client.call("hello", {})).rig).toBe("rig");
		await client.close();
	});

	it("leaves a file at its path as it was", async () => {
		writeFileSync(path("notes"), "mine");
		await expect(listenLocally(path("notes"))).rejects.toThrow("something that is no socket");
		expect(readFileSync(path("notes"), "utf8")).toBe("mine");
	});

	it("is not made where others may put one in its place", async () => {
		mkdirSync(path("open"));
		chmodSync(path("open"), 0o777);
		const refused = listenLocally(join(path("open"), "s"));
		await expect(refused).rejects.toThrow("a folder that others may write in");
		expect(existsSync(join(path("open"), "s"))).toBe(false);
		chmodSync(path("open"), 0o1777);
		await serve(join(path("open"), "s"));
		await expect(listenLocally(path("none/s"))).rejects.toThrow("no folder");
	});

	it("serves several at once, and forgets who leaves in mid-frame", async () => {
		const { server } = await serve(path("many"));
		const clients = await Promise.all([1, 2, 3].map(() => LinkClient.open(path("many"))));
		const leaver = connect(path("many"));
		leaver.end(Buffer.from([0xc0, 0x7b, 0x22]));
		const answers = await Promise.all(clients.map((client) => client.call("status", {})));
		expect(answers.map(({ state }) => state)).toEqual(["idle", "idle", "idle"]);
		server.everyTick();
		await Promise.all(clients.map((client) => client.close()));
	});

	it("cuts off who floods it, and answers the others", async () => {
		const { server } = await serve(path("flood"));
		const flooder = connect(path("flood"));
		let isCut = false;
		flooder.on("close", () => {
			isCut = true;
		});
		flooder.on("error", () => {});
		const noise = Buffer.alloc(65_536, 0x55);
		const pour = () => {
			while (!isCut && flooder.write(noise));
		};
		flooder.on("drain", pour);
		pour();
		await until(() => isCut, 10);
		server.everyTick();
		const client = await LinkClient.open(path("flood"));
		expect((await client.call("status", {})).state).toBe("idle");
		await client.close();
	});
});

describe("a client", () => {
	it("says when nobody serves the socket", () => {
		leaveStale(path("dead"));
		const { status, stderr } = lees(["order", "stop", path("dead")]);
		expect(stderr).toContain("a socket that nobody serves");
		expect(status).toBe(2);
	});

	it("refuses a controller of another version", async () => {
		const result = { protocol: 1, storeId: "s", boot: 1, rig: "r", methods: [] };
		const { FrameReader, FrameWriter } = await import("../../firmware/link/framing.ts");
		const old = createServer((socket) => {
			const writer = new FrameWriter((bytes) => socket.write(bytes));
			const reader = new FrameReader((payload) => {
				const { id } = JSON.parse(payload.toString());
				writer.send(Buffer.from(JSON.stringify({ jsonrpc: "2.0", id, result })));
			});
			socket.on("data", (bytes: Buffer) => reader.push(bytes));
		});
		await new Promise<void>((resolve) => old.listen(path("old"), resolve));
		listeners.push(old);
		const client = await LinkClient.open(path("old"));
		await expect(client.call("hello", {})).rejects.toThrow("whose link has version 1");
		await client.close();
	});
});

describe("a controller", () => {
	const rig = new LiveRig();
	beforeAll(() => rig.start(), 30_000);
	afterAll(() => rig.end());

	it("serves a socket and a serial line at once", { timeout: 60_000 }, async () => {
		const controller = await rig.control([], "model", ["--socket", path("both")]);
		const clients = await Promise.all(
			[path("both"), rig.linkAshore, path("both")].map((at) => LinkClient.open(at)),
		);
		const hellos = await Promise.all(clients.map((client) => client.call("hello", {})));
		expect(new Set(hellos.map(({ storeId }) => storeId)).size).toBe(1);
		const status = await rig.lees("pull", path("both"), "--archive", path("archive.sqlite"));
		expect(status.stdout).toContain("1 new record ");
		await Promise.all(clients.map((client) => client.close()));
		controller.kill("SIGTERM");
		await until(() => controller.exitCode !== null, 10);
		expect(existsSync(path("both"))).toBe(false);
	});

	it("is refused a path where a file stands, before it runs", () => {
		writeFileSync(path("file"), "mine");
		const args = ["--board", "model", "--log", path("log"), "--socket", path("file")];
		const { status, stderr, stdout } = lees(["control", rigFile, ...args]);
		expect(stderr).toContain("found something that is no socket");
		expect(stdout).toBe("");
		expect(status).toBe(2);
	});
});
