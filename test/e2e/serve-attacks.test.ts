// What a hostile page, a hostile phone on the same network or a broken client may try against
// `lees serve`: nothing of it starts a pump, takes a session, fills the memory or holds up a stop.

import { connect } from "node:net";
import fc from "fast-check";
import { afterAll, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { demandSession } from "../../host/serve/context.ts";
import { sleep, until } from "./live.ts";
import { headOf, Page, sendRaw } from "./serve-page.ts";
import { ACCEPTED, Served, SocketController } from "./serve-rig.ts";

const attended = { polish: { tank: "port", hours: 1, attended: true } };
const rig = new SocketController();
let served: Served;
let page: Page;
beforeAll(async () => {
	await rig.start();
	served = await Served.open({ port: rig.socket, names: ["teal-willow.lan"] });
	await served.isUp();
});
afterAll(async () => {
	await served.close();
	await rig.die();
});
beforeEach(() => {
	page = new Page(served);
	rig.asked.length = 0;
	rig.decide = () => ACCEPTED;
	rig.laterMs += 120_000;
	served.later.ms += 4_000_000;
});

describe("what another site's page sends", () => {
	const own = () => served.origin;
	it.each([
		["a foreign origin", () => ({ origin: "http://evil.example", "sec-fetch-site": "cross-site" })],
		["a foreign origin of an old browser", () => ({ origin: "http://evil.example" })],
		["a hidden origin", () => ({ origin: "null" })],
		["another port here", () => ({ origin: "http://127.0.0.1:1", "sec-fetch-site": "same-site" })],
		["no origin, cross-site", () => ({ "sec-fetch-site": "cross-site" })],
		[
			"an origin that the browser contradicts",
			() => ({
				origin: own(),
				"sec-fetch-site": "cross-site",
			}),
		],
		["nothing of where it comes from", () => ({})],
	])("%s: refused for an order and a stop alike", async (_, headers) => {
		await page.pair(rig.codes);
		const { port } = served.serving;
		for (const path of ["/api/stop", "/api/order", "/api/pair/show", "/api/unpair"]) {
			const lines = Object.entries(headers()).map(([name, value]) => `${name}: ${value}`);
			const body = JSON.stringify({ id: "x", work: attended });
			const head = [
				`POST ${path} HTTP/1.1`,
				`Host: 127.0.0.1:${port}`,
				`Content-Type: application/json`,
				`Content-Length: ${body.length}`,
				`Cookie: ${page.cookie}`,
				"Connection: close",
				...lines,
			];
			const said = await sendRaw(served, [`${head.join("\r\n")}\r\n\r\n${body}`]);
			expect(said).toMatch(/^HTTP\/1\.1 403 /);
		}
		expect(rig.asked).toEqual([]);
		await page.look();
		expect(page.scene.session.may).toBe("order");
		page.close();
	});

	it("its questions are refused, its links to our pages are not", async () => {
		const foreign = { "sec-fetch-site": "cross-site" };
		expect((await page.get("/api/feed", foreign)).status).toBe(403);
		expect((await page.get("/", foreign)).status).toBe(200);
	});

	it.each(["text/plain", "application/x-www-form-urlencoded", "application/jsonp", ""])(
		"a body of kind %j is not taken",
		async (type) => {
			const { status } = await page.post("/api/stop", { id: "x" }, { "content-type": type });
			expect(status).toBe(415);
			expect(rig.asked).toEqual([]);
		},
	);

	it("no preflight is answered with leave", async () => {
		const said = await sendRaw(served, [
			`OPTIONS /api/order HTTP/1.1\r\nHost: localhost\r\nOrigin: http://evil.example\r\n` +
				"Access-Control-Request-Method: POST\r\nConnection: close\r\n\r\n",
		]);
		expect(said).toMatch(/^HTTP\/1\.1 405 /);
		expect(said.toLowerCase()).not.toContain("access-control");
	});
});

describe("the name that a request was sent to", () => {
	const get = (...lines: string[]) =>
		sendRaw(served, [["GET / HTTP/1.1", ...lines, "Connection: close", "", ""].join("\r\n")]);

	it.each([
		["localhost"],
		["127.0.0.1"],
		["[::1]:8437"],
		["LOCALHOST:80"],
		["teal-willow.lan:8437"],
	])("%s is ours", async (host) => {
		expect(await get(`Host: ${host}`)).toMatch(/^HTTP\/1\.1 200 /);
	});

	it.each([
		["evil.example"],
		["127.0.0.1.evil.example"],
		["localhost.evil.example:8437"],
		["192.0.2.1"],
		["[::2]"],
		["localhost@evil.example"],
		["evil.example:127"],
		["xn--teal-willow.lan"],
	])("%s is not", async (host) => {
		expect(await get(`Host: ${host}`)).toMatch(/^HTTP\/1\.1 4(00|21) /);
	});

	it("one that is said twice, left out, or hidden in the address is not", async () => {
		expect(await get("Host: localhost", "Host: evil.example")).toMatch(/^HTTP\/1\.1 4(00|21) /);
		expect(await sendRaw(served, ["GET / HTTP/1.0\r\n\r\n"])).toMatch(/^HTTP\/1\.1 4(00|21) /);
		const absolute =
			"GET http://evil.example/ HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n";
		expect(await sendRaw(served, [absolute])).toMatch(/^HTTP\/1\.1 4(00|21) /);
	});
});

describe("what is too long or too slow", () => {
	it("a body that says so is refused before it comes", async () => {
		const said = await sendRaw(served, [headOf(served, "Content-Length: 10000000"), "{"]);
		expect(said).toMatch(/^HTTP\/1\.1 413 /);
		expect(rig.asked).toEqual([]);
	});

	it("a body in chunks without end is cut off, and little of it is kept", async () => {
		const chunk = `4000\r\n${" ".repeat(0x4000)}\r\n`;
		const before = process.memoryUsage().arrayBuffers;
		const said = await sendRaw(served, [
			headOf(served, "Transfer-Encoding: chunked"),
			...Array.from({ length: 80 }, () => chunk),
		]);
		expect(said).toMatch(/^HTTP\/1\.1 413 /);
		expect(process.memoryUsage().arrayBuffers - before).toBeLessThan(30_000_000);
		expect(rig.asked).toEqual([]);
	});

	it("heads of more than eight kilobytes, and bodies of two lengths, are none", async () => {
		const bomb = await sendRaw(served, [headOf(served, `X-Long: ${"x".repeat(9_000)}`)]);
		expect(bomb).toMatch(/^HTTP\/1\.1 431 /);
		const both = headOf(served, "Content-Length: 2", "Transfer-Encoding: chunked");
		expect(await sendRaw(served, [`${both}0\r\n\r\n`])).toMatch(/^HTTP\/1\.1 400 /);
		expect(rig.asked).toEqual([]);
	});

	it("who sends a head or a body drop by drop, or nothing, is let go", {
		timeout: 30_000,
	}, async () => {
		const times = { headersTimeout: 1_000, requestTimeout: 2_000 };
		const hasty = await Served.open({ times });
		const drops = Array.from({ length: 60 }, () => "x");
		const beganMs = performance.now();
		const [head, body, silent] = await Promise.all([
			sendRaw(hasty, ["GET / HTTP/1.1\r\nX-Slow: ", ...drops], 200),
			sendRaw(hasty, [headOf(hasty, "Content-Length: 500"), ...drops], 200),
			sendRaw(hasty, []),
		]);
		expect(performance.now() - beganMs).toBeLessThan(8_000);
		expect([head, body]).toEqual([
			expect.stringMatching(/^HTTP\/1\.1 408 /),
			expect.stringMatching(/^HTTP\/1\.1 408 /),
		]);
		expect(silent).toMatch(/^(HTTP\/1\.1 408 |$)/);
		await hasty.close();
	});

	it("no path leads out of the pages' folder", async () => {
		for (const path of [
			"/assets/../../package.json",
			"/assets/%2e%2e/%2e%2e/package.json",
			"/assets/..%2f..%2fpackage.json",
			"/..\\..\\package.json",
			"//etc/passwd",
			"/assets/notes.txt",
			"/live.html",
			"/assets/",
			"/%00",
			"/%E0%A4%A",
		]) {
			const head = `GET ${path} HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n`;
			const said = await sendRaw(served, [head]);
			expect([path, said.split("\r\n")[0]]).toEqual([path, expect.stringMatching(/ 4\d\d /)]);
		}
	});
});

describe("routes of others", () => {
	it("stand behind the same guards, and find the session", async () => {
		const mounted = await Served.open({
			port: rig.socket,
			extra: (app) => {
				app.post("/api/notes", async (c) => {
					demandSession(c, "note");
					return c.json({ reasons: [c.get("session").may, await c.req.text()] });
				});
				app.post("/api/photos", async (c) =>
					c.json({ reasons: [String((await c.req.arrayBuffer()).byteLength)] }),
				);
			},
		});
		await mounted.isUp();
		const own = new Page(mounted);
		expect((await own.post("/api/notes", {})).status).toBe(401);
		expect((await own.post("/api/notes", {}, { origin: "http://evil.example" })).status).toBe(403);
		await own.pair(rig.codes);
		expect((await own.post("/api/notes", {})).body.reasons).toEqual(["order", "{}"]);
		const big = "x".repeat(5_000_000);
		expect((await own.post("/api/notes", big)).status).toBe(413);
		const photo = { "content-type": "image/jpeg" };
		expect((await own.post("/api/photos", big, photo)).body.reasons).toEqual(["5000000"]);
		expect((await own.post("/api/photos", big + big, photo)).status).toBe(413);
		await mounted.close();
	});
});

describe("crowds", () => {
	it("eight pages of one address look, a ninth is told to come later", async () => {
		const pages = Array.from({ length: 8 }, () => new Page(served));
		for (const one of pages) await one.look();
		expect((await page.get("/api/feed")).status).toBe(503);
		expect((await page.post("/api/stop", { id: "x" })).status).toBe(200);
		for (const one of pages) one.close();
		await sleep(0.3);
		await page.look();
		page.close();
	});

	it("looks that wait behind another on one connection are none, and leave no trace", async () => {
		const { port } = served.serving;
		const one = `GET /api/feed HTTP/1.1\r\nHost: 127.0.0.1:${port}\r\n\r\n`;
		const socket = connect(port, "127.0.0.1");
		socket.on("error", () => {});
		socket.write(one.repeat(8));
		await sleep(0.3);
		socket.destroy();
		await sleep(0.3);
		const pages = Array.from({ length: 8 }, () => new Page(served));
		for (const each of pages) await each.look();
		for (const each of pages) each.close();
		await sleep(0.3);
	});

	it("a flood of stops reaches the controller thinned, and each is answered", {
		timeout: 30_000,
	}, async () => {
		// Over connections that it keeps, as a browser does; more of them would be cut off.
		const flood = async (n: number) => {
			const answers: number[] = [];
			for (let i = 0; i < 4; i += 1) {
				answers.push((await page.post("/api/stop", { id: `s-${n}-${i}` })).status);
			}
			return answers;
		};
		const beganMs = performance.now();
		const answers = await Promise.all(Array.from({ length: 20 }, (_, n) => flood(n)));
		const seconds = (performance.now() - beganMs) / 1_000;
		expect(answers.flat()).toEqual(Array.from({ length: 80 }, () => 200));
		expect(rig.asked.length).toBeGreaterThan(20);
		expect(rig.asked.length).toBeLessThanOrEqual(21 + seconds);
	});

	it("a phone that opens connections without end leaves another one room for a stop", async () => {
		let cut = 0;
		const idle = Array.from({ length: 300 }, () => {
			const { port } = served.serving;
			const socket = connect({ host: "127.0.0.1", port, localAddress: "127.0.0.2" });
			socket.on("error", () => {});
			socket.on("close", () => {
				cut += 1;
			});
			return socket;
		});
		await until(() => cut >= 236, 5);
		expect((await page.post("/api/stop", { id: "x" })).status).toBe(200);
		expect(cut).toBe(236);
		for (const socket of idle) socket.destroy();
	});
});

describe("whatever is sent", () => {
	it("answers carry the headers that bind a browser", async () => {
		for (const path of ["/", "/bench", "/nothing", "/api/nothing", "/assets/live-AbC123.js"]) {
			const { headers } = await page.get(path);
			expect(headers.get("content-security-policy")).toContain("default-src 'self'");
			expect(headers.get("content-security-policy")).toContain("frame-ancestors 'none'");
			expect(headers.get("x-content-type-options")).toBe("nosniff");
		}
		expect((await page.get("/api/nothing")).headers.get("cache-control")).toBe("no-store");
		const asset = await page.get("/assets/live-AbC123.js");
		expect(asset.headers.get("content-type")).toContain("text/javascript");
		expect(asset.headers.get("cache-control")).toContain("immutable");
		expect(asset.headers.get("content-encoding")).toBe("gzip");
		const etag = asset.headers.get("etag") ?? "";
		expect((await page.get("/assets/live-AbC123.js", { "if-none-match": etag })).status).toBe(304);
	});

	it("no request brings the server down, or a pump on", { timeout: 60_000 }, async () => {
		const path = fc.oneof(
			fc.constantFrom(
				...["/api/stop", "/api/order", "/api/plan", "/api/acknowledge", "/api/pair"],
				...["/api/pair/show", "/api/unpair", "/api/photos", "/api/notes", "/", "/bench"],
			),
			fc.webPath(),
		);
		const body = fc.oneof(
			fc.json(),
			fc.string(),
			fc.record({ id: fc.string(), work: fc.constantFrom(attended, {}, null), code: fc.string() }),
		);
		const headers = fc.dictionary(
			fc.constantFrom("cookie", "accept-encoding", "sec-fetch-site", "range", "expect", "te"),
			fc.stringMatching(/^[ -~]{0,40}$/),
			{ maxKeys: 3 },
		);
		await fc.assert(
			fc.asyncProperty(
				fc.constantFrom("GET", "POST", "HEAD", "PUT"),
				path,
				body,
				headers,
				async (method, where, what, more) => {
					const text = typeof what === "string" ? what : JSON.stringify(what);
					const bytes = Buffer.from(text);
					const lines = Object.entries(more).map(([name, value]) => `${name}: ${value}`);
					const head = [
						`${method} ${where} HTTP/1.1`,
						`Host: 127.0.0.1:${served.serving.port}`,
						`Origin: ${served.origin}`,
						"Content-Type: application/json",
						`Content-Length: ${bytes.length}`,
						"Connection: close",
						...lines,
					].join("\r\n");
					const said = await sendRaw(served, [`${head}\r\n\r\n${bytes.toString("latin1")}`]);
					expect(said).toMatch(/^HTTP\/1\.1 (200|30\d|4\d\d|503|504) /);
				},
			),
			{ numRuns: 250, seed: 20_261_126 },
		);
		expect(rig.asked.every(({ type }) => type === "stop")).toBe(true);
		expect(served.told.filter((line) => line.includes("Error"))).toEqual([]);
		await page.look();
		expect(page.scene.link.isUp).toBe(true);
		page.close();
	});
});
