// Sessions and pairing codes of `lees serve` under attack: forged, planted, worn out and guessed.
// Time is the test's own: a night of guessing takes a second.

import { afterAll, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { sleep } from "./live.ts";
import { Page } from "./serve-page.ts";
import { ACCEPTED, Served, SocketController } from "./serve-rig.ts";

const attended = { polish: { tank: "port", hours: 1, attended: true } };
const rig = new SocketController();
let served: Served;
let page: Page;
beforeAll(async () => {
	await rig.start();
	served = await Served.open({ port: rig.socket });
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

describe("sessions", () => {
	it("a cookie that nobody gave opens nothing", async () => {
		const name = `lees-${served.serving.port}`;
		for (const value of ["", "x", "A".repeat(43), "A".repeat(5_000), "../../x", "%00"]) {
			page.cookie = `${name}=${value}`;
			expect((await page.post("/api/order", { id: "x", work: attended })).status).toBe(401);
		}
		await page.pair(rig.codes);
		const good = page.cookie;
		page.cookie = `${good}x`;
		expect((await page.post("/api/order", { id: "x", work: attended })).status).toBe(401);
		page.cookie = `${name}=${"A".repeat(43)}; ${good}`;
		expect((await page.post("/api/order", { id: "x", work: attended })).status).toBe(401);
		expect(rig.asked).toEqual([]);
	});

	it("what a page brought along does not grow into a session", async () => {
		const planted = `lees-${served.serving.port}=${"B".repeat(43)}`;
		page.cookie = planted;
		await page.pair(rig.codes);
		expect(page.cookie).not.toBe(planted);
		const victim = page.cookie;
		page.cookie = planted;
		expect((await page.post("/api/order", { id: "x", work: attended })).status).toBe(401);
		rig.laterMs += 60_000;
		page.cookie = victim;
		await page.pair(rig.codes);
		// The session from before ends with the new one.
		page.cookie = victim;
		expect((await page.post("/api/order", { id: "x", work: attended })).status).toBe(401);
	});

	it("ends after half an hour without use, and after twelve hours whatever was done", async () => {
		const order = () => page.post("/api/order", { id: "x", work: attended });
		await page.pair(rig.codes);
		await page.look();
		served.later.ms += 29 * 60_000;
		// A phone that only looks does not keep it open.
		await sleep(1.2);
		served.later.ms += 2 * 60_000;
		expect((await order()).status).toBe(401);
		page.close();

		page = new Page(served);
		rig.laterMs += 60_000;
		await page.pair(rig.codes);
		for (let minutes = 0; minutes < 12 * 60 - 40; minutes += 20) {
			served.later.ms += 20 * 60_000;
			// Whatever it sends is a use, and the controller takes only so many orders.
			expect((await page.post("/api/order", {})).status).toBe(400);
		}
		expect((await order()).status).toBe(200);
		served.later.ms += 29 * 60_000;
		expect((await order()).status).toBe(200);
		served.later.ms += 29 * 60_000;
		expect((await order()).status).toBe(401);
	});

	it("its cookie is for no script and no other site", async () => {
		await page.post("/api/pair/show");
		const { headers } = await page.post("/api/pair", { code: rig.codes.at(-1) });
		const set = headers.get("set-cookie") ?? "";
		expect(set).toMatch(/^lees-\d+=[\w-]{43}; /);
		for (const flag of ["HttpOnly", "SameSite=Strict", "Path=/"]) expect(set).toContain(flag);
	});
});

describe("guessing codes", () => {
	it("ends after five, longer each time, for all clients together", async () => {
		await page.post("/api/pair/show");
		const code = rig.codes.at(-1);
		const wrong = (from: Page) => from.post("/api/pair", { code: "999999" });
		const others = [1, 2, 3, 4, 5].map(() => new Page(served));
		for (const [i, other] of others.entries()) {
			expect(await wrong(other)).toMatchObject({ status: 403, body: { triesLeft: 4 - i } });
		}
		// The right one is too late now, for the page as for the controller.
		const locked = await page.post("/api/pair", { code });
		expect(locked.status).toBe(429);
		expect(Number(locked.headers.get("retry-after"))).toBeLessThanOrEqual(60);
		served.later.ms += 61_000;
		expect((await page.post("/api/pair", { code })).status).toBe(403);

		let tries = 0;
		const fromMs = served.later.ms;
		while (served.later.ms - fromMs < 12 * 3_600_000) {
			const { status, headers } = await wrong(page);
			if (status === 403) tries += 1;
			else served.later.ms += 1_000 * Number(headers.get("retry-after"));
		}
		expect(tries).toBeLessThanOrEqual(100);
		served.later.ms += 3_700_000;
	});

	it("a code opens one door once", async () => {
		await page.pair(rig.codes);
		const other = new Page(served);
		expect((await other.post("/api/pair", { code: rig.codes.at(-1) })).status).toBe(403);
	});

	it("codes are shown six times a minute at most, by controller or server", async () => {
		const before = rig.codes.length;
		for (let n = 0; n < 30; n += 1) {
			// Longer than the controller itself ever makes somebody wait for the next one.
			rig.laterMs += 601_000;
			await page.post("/api/pair/show");
		}
		expect(rig.codes.length - before).toBe(6);
	});

	it("what is no code is not tried", async () => {
		for (const code of ["12345", "1234567", "12345a", 123456, null, ["000000"]]) {
			expect((await page.post("/api/pair", { code })).status).toBe(400);
		}
	});
});
