// `lees serve` with an archive, as phones use it: notes and photos of paired pages, the report of
// three years, and a stop that never waits behind any of it.

import { type ChildProcess, spawn } from "node:child_process";
import { copyFileSync, mkdtempSync } from "node:fs";
import { connect } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { makeSeason } from "../archive/drawn-season.ts";
import { RIG } from "../archive/season-log.ts";
import { command } from "./cli.ts";
import { until } from "./live.ts";
import { Page } from "./serve-page.ts";
import { SocketController } from "./serve-rig.ts";

const folder = mkdtempSync(join(tmpdir(), "lees-serve-archive-"));
const file = join(folder, "three-years.sqlite");
const processes: ChildProcess[] = [];
const rig = new SocketController();
beforeAll(async () => {
	makeSeason(file, 36);
	await rig.start();
});
afterAll(async () => {
	for (const child of processes) child.kill("SIGKILL");
	await rig.die();
});

/** With an archive of its own. */
async function serve(...port: readonly string[]) {
	const own = join(folder, `own-${processes.length}.sqlite`);
	copyFileSync(file, own);
	const args = ["serve", ...port, "--archive", own, "--listen", "127.0.0.1:0"];
	const child = spawn(process.execPath, [command, ...args]);
	processes.push(child);
	const server = { child, said: "", origin: "" };
	const hear = (bytes: Buffer) => {
		server.said += bytes.toString();
	};
	child.stdout.on("data", hear);
	child.stderr.on("data", hear);
	await until(() => server.said.includes("pages at http"), 60);
	server.origin = /http:\/\/127\.0\.0\.1:\d+/.exec(server.said)?.[0] ?? "";
	if (port.length > 0) await until(() => server.said.includes("the controller answers"), 60);
	return server;
}

type Server = Awaited<ReturnType<typeof serve>>;

async function sendPhoto({ origin }: Server, page: Page, note: string, bytes: Uint8Array) {
	const response = await fetch(`${origin}/api/photos?note=${note}`, {
		method: "POST",
		headers: { origin, "content-type": "image/jpeg", cookie: page.cookie ?? "" },
		body: new Uint8Array(bytes),
	});
	await response.text();
	return response.status;
}

/** A JPEG in its form: a frame, a scan of zeros, an end. */
function jpegOf(byteCount: number): Uint8Array {
	const head = [0xff, 0xd8, 0xff, 0xc0, 0, 11, 8, 0, 1, 0, 1, 1, 1, 0x11, 0];
	const scan = [0xff, 0xda, 0, 8, 1, 1, 0, 0, 63, 0];
	const bytes = new Uint8Array(byteCount);
	bytes.set([...head, ...scan]);
	bytes.set([0xff, 0xd9], byteCount - 2);
	return bytes;
}

const note = (id: string) => ({ kind: "uplift", id, rig: RIG, tank: "port", litres: 40 });

describe("notes and photos", () => {
	it.each([
		["a code of the controller", "order"],
		["a code of this computer", "note"],
	] as const)("are taken after %s, and not before", { timeout: 120_000 }, async (_, may) => {
		const server = await serve(...(may === "order" ? [rig.socket] : []));
		const page = new Page(server);
		expect((await page.post("/api/notes", note("phone-1"))).status).toBe(401);
		expect(await sendPhoto(server, page, "phone-1", jpegOf(1_000))).toBe(401);
		expect((await page.post("/api/pair/show")).status).toBe(200);
		if (may === "note") await until(() => /its code is \d{6}/.test(server.said), 10);
		const code = may === "order" ? rig.codes.at(-1) : /code is (\d{6})/.exec(server.said)?.[1];
		expect((await page.post("/api/pair", { code })).status).toBe(200);
		await page.look();
		expect(page.scene.session.may).toBe(may);
		page.close();

		expect((await page.post("/api/notes", note("phone-1"))).status).toBe(200);
		expect((await page.get(`/api/notes?rig=${RIG}`)).text).toContain('"phone-1"');
		expect(await sendPhoto(server, page, "phone-1", jpegOf(7_000_000))).toBe(413);
		expect(await sendPhoto(server, page, "phone-1", jpegOf(5_000_000))).toBe(200);
		const photo = await fetch(`${server.origin}/api/photos?note=phone-1`);
		expect(photo.headers.get("content-type")).toBe("image/jpeg");
		expect((await photo.arrayBuffer()).byteLength).toBe(5_000_000);
		const strike = await page.post("/api/notes/strike", { id: "phone-1" });
		expect([strike.status, strike.text]).toEqual([200, expect.stringContaining("false")]);
	});
});

describe("the report of three years", () => {
	it("opens as PDF and HTML, bound as its page is, and a stop does not wait for it", {
		timeout: 240_000,
	}, async () => {
		const server = await serve(rig.socket);
		const page = new Page(server);
		await page.post("/api/stop", { id: "first" });
		const reports: Array<Promise<Response>> = [];
		const ask = () => reports.push(fetch(`${server.origin}/report.pdf?rig=${RIG}`));
		let isMade = false;
		ask();
		ask();
		const made = Promise.all(reports).then(() => {
			isMade = true;
		});
		const tookMs: number[] = [];
		while (!isMade) {
			const beganMs = performance.now();
			expect((await page.post("/api/stop", { id: `s-${tookMs.length}` })).status).toBe(200);
			tookMs.push(performance.now() - beganMs);
			await new Promise((resolve) => setTimeout(resolve, 100));
		}
		await made;
		tookMs.sort((a, b) => a - b);
		for (const report of await Promise.all(reports)) {
			expect(report.headers.get("content-type")).toBe("application/pdf");
			expect(report.headers.get("x-content-type-options")).toBe("nosniff");
			const bytes = Buffer.from(await report.arrayBuffer());
			expect(bytes.subarray(0, 5).toString()).toBe("%PDF-");
		}
		const html = await fetch(`${server.origin}/report.html?rig=${RIG}`);
		expect(html.headers.get("content-security-policy")).toContain("style-src 'sha256-");
		expect(await html.text()).toContain("<!doctype html>");
		// The median is the server's; the worst is also what else this machine does.
		expect(tookMs[Math.floor(tookMs.length / 2)]).toBeLessThan(200);
		expect(tookMs.at(-1)).toBeLessThan(1_000);
	});
});

describe("a photo whose length nobody tells", () => {
	it("is refused before it is read", { timeout: 60_000 }, async () => {
		const { origin } = await serve();
		const { port } = new URL(origin);
		const head = [
			"POST /api/photos?note=a HTTP/1.1",
			`Host: 127.0.0.1:${port}`,
			`Origin: ${origin}`,
			"Content-Type: image/jpeg",
			"Transfer-Encoding: chunked",
		];
		const said = await new Promise<string>((resolve) => {
			const socket = connect(Number(port), "127.0.0.1");
			socket.once("data", (bytes: Buffer) => {
				resolve(bytes.toString());
				socket.destroy();
			});
			socket.on("error", () => {});
			socket.write(`${head.join("\r\n")}\r\n\r\n5\r\nhello\r\n`);
		});
		expect(said).toMatch(/^HTTP\/1\.1 411 /);
	});
});
