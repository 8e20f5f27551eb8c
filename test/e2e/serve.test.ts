// The pages' server with a controller at the other end of a real socket: pairing, orders, the feed,
// a controller that dies, hangs and comes back, and two pages at once.

import { afterAll, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { STORE_ID } from "../stories/link-rig.ts";
import { sleep, until } from "./live.ts";
import { Page } from "./serve-page.ts";
import { ACCEPTED, Served, SocketController } from "./serve-rig.ts";

const attended = { polish: { tank: "port", hours: 1, attended: true } };
const unattended = { polish: { tank: "port", hours: 1 } };

describe("with a controller", () => {
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
		// The controller shows a code each ten seconds; every test comes later than that.
		served.later.ms += 120_000;
		rig.laterMs += 120_000;
	});

	it("gives a page all that is known, and how old it is", async () => {
		await page.look();
		const { source, rig: file, boot, link, status, senses, session } = page.scene;
		expect(source).toBe("rig");
		expect(file?.tanks.map(({ name }) => name)).toContain("port");
		expect(boot).toBe(1);
		expect(link).toMatchObject({ isUp: true, why: "" });
		expect(link.heardAgoMs).toBeLessThan(3_000);
		expect(status?.state).toBe("idle");
		expect(senses?.sensed?.vacuumKpa).toBe(14.5);
		expect(session).toEqual({ may: "look", endsInMs: null });
		page.close();
	});

	it("sends a scene and a point a second", async () => {
		await page.look();
		const before = page.scenes.length;
		await sleep(3.2);
		expect(page.scenes.length - before).toBeGreaterThanOrEqual(3);
		expect(page.points.length).toBeGreaterThanOrEqual(2);
		expect(page.points.at(-1)).toMatchObject({ flowLph: 90.5, vacuumKpa: 14.5 });
		page.close();
	});

	it("tells a change at once, in the account's words", async () => {
		await page.look();
		const { seq } = page.scene.events.at(-1) ?? { seq: 0 };
		rig.status = { ...rig.status, state: "tripped" };
		rig.log({ kind: "trip", code: "water-in-bowl", cause: "water at the probe" });
		const beganMs = performance.now();
		await until(() => page.scene.events.some((line) => line.seq > seq && line.isTrip), 2);
		await until(() => page.scene.status?.state === "tripped", 2);
		expect(performance.now() - beganMs).toBeLessThan(1_000);
		expect(page.scene.events.at(-1)?.what).toContain("TRIP water-in-bowl");
		rig.status = { ...rig.status, state: "idle" };
		page.close();
	});

	it("takes a stop without session and code, and hands its id on", async () => {
		const { status, body } = await page.post("/api/stop", { id: "stop-1" });
		expect(status).toBe(200);
		expect(body).toEqual(ACCEPTED);
		expect(rig.asked).toEqual([{ type: "stop", id: "stop-1" }]);
	});

	it("refuses every order without a session, and sends nothing", async () => {
		for (const [path, body] of [
			["/api/order", { id: "a", work: attended }],
			["/api/plan", { id: "a", plan: { at: "2026-11-29T10:00", work: attended } }],
			["/api/acknowledge", { id: "a" }],
		] as const) {
			expect((await page.post(path, body)).status).toBe(401);
		}
		expect(rig.asked).toEqual([]);
	});

	it("takes an order of a paired page, and tells the controller's refusal in its words", async () => {
		await page.pair(rig.codes);
		expect((await page.post("/api/order", { id: "order-1", work: attended })).body).toEqual(
			ACCEPTED,
		);
		expect(rig.asked.at(-1)).toMatchObject({ type: "polish", id: "order-1" });
		rig.decide = () => ({ accepted: false, reasons: ["the stop button is pressed"] });
		const { status, body } = await page.post("/api/acknowledge", { id: "ack-1" });
		expect(status).toBe(200);
		expect(body).toEqual({ accepted: false, reasons: ["the stop button is pressed"] });
	});

	it("hands on an unattended order only after the coverage was seen", async () => {
		await page.pair(rig.codes);
		const order = { id: "night-1", work: unattended };
		expect((await page.post("/api/order", order)).status).toBe(409);
		const plan = { id: "night-2", plan: { at: "2026-11-29T10:00", work: unattended } };
		expect((await page.post("/api/plan", plan)).status).toBe(409);
		expect(rig.asked).toEqual([]);
		expect((await page.post("/api/order", { ...order, isCoverageSeen: true })).status).toBe(200);
		expect((await page.post("/api/plan", { ...plan, isCoverageSeen: true })).status).toBe(200);
		expect(rig.asked.map(({ type }) => type)).toEqual(["polish", "plan"]);
	});

	it("names what is wrong with an order", async () => {
		await page.pair(rig.codes);
		const work = { polish: { tank: "port", hours: -1, attended: true } };
		const { status, body } = await page.post("/api/order", { id: "a", work });
		expect(status).toBe(400);
		expect(body.error.allowed).toContain("above 0");
		expect(rig.asked).toEqual([]);
	});

	it("shows a session on its own page's feed alone", async () => {
		await page.pair(rig.codes);
		const other = new Page(served);
		await Promise.all([page.look(), other.look()]);
		expect(page.scene.session.may).toBe("order");
		expect(other.scene.session.may).toBe("look");
		expect((await other.post("/api/order", { id: "b", work: attended })).status).toBe(401);
		await page.post("/api/unpair");
		await until(() => page.scene.session.may === "look", 3);
		page.close();
		other.close();
	});
});

describe("a controller that goes and comes back", () => {
	it("does not let a stop wait behind orders that are not answered, and tells what they may be", {
		timeout: 40_000,
	}, async () => {
		const rig = new SocketController();
		await rig.start();
		const served = await Served.open({ port: rig.socket });
		await served.isUp();
		const page = new Page(served);
		await page.pair(rig.codes);
		rig.decide = ({ type }) => (type === "stop" ? ACCEPTED : null);
		const orders = [1, 2, 3, 4, 5].map((n) =>
			page.post("/api/order", { id: `hung-${n}`, work: attended }),
		);
		await until(() => rig.asked.length === 5, 5);
		const beganMs = performance.now();
		expect((await page.post("/api/stop", { id: "stop-2" })).status).toBe(200);
		expect(performance.now() - beganMs).toBeLessThan(500);
		await rig.die();
		for (const { status, body } of await Promise.all(orders)) {
			expect(status).toBe(504);
			expect(body.isMaybeTaken).toBe(true);
			expect(body.error.what).toContain("it may have been taken");
		}
		await served.close();
	});

	it("is told as it is, and what went on meanwhile comes after", { timeout: 60_000 }, async () => {
		const rig = new SocketController();
		const served = await Served.open({ port: rig.socket });
		const page = new Page(served);
		await page.look();
		expect(page.scene.link).toMatchObject({ isUp: false, heardAgoMs: null });
		expect(page.scene.link.why).toContain("is the controller running?");
		const stopped = await page.post("/api/stop", { id: "early" });
		expect(stopped.status).toBe(504);
		expect(stopped.body.error.what).toContain("The stop button is at the rig.");

		await rig.start();
		await until(() => page.scene.link.isUp && page.scene.rig !== null, 10);
		await page.pair(rig.codes);
		expect((await page.post("/api/order", { id: "o-1", work: attended })).status).toBe(200);

		await rig.die();
		await until(() => !page.scene.link.isUp, 5);
		expect(page.scene.link.why).toContain("lost");
		expect(page.scene.status?.state).toBe("idle");
		const late = await page.post("/api/order", { id: "o-2", work: attended });
		expect(late.status).toBe(504);
		expect(late.body.isMaybeTaken).toBe(false);
		const beganMs = performance.now();
		expect((await page.post("/api/stop", { id: "s-1" })).status).toBe(504);
		expect(performance.now() - beganMs).toBeLessThan(500);
		await until(() => (page.scene.link.heardAgoMs ?? 0) > 2_000, 10);

		rig.boot = 2;
		rig.log({ kind: "stop", by: "button" });
		await rig.start();
		await until(() => page.scene.link.isUp && page.scene.boot === 2, 10);
		await until(() => page.scene.events.at(-1)?.what === "Stop received.", 5);
		// The same log is the same rig: who was paired there still is.
		expect((await page.post("/api/order", { id: "o-3", work: attended })).status).toBe(200);

		await rig.die();
		await until(() => !page.scene.link.isUp, 5);
		rig.storeId = STORE_ID.replace("1", "2");
		await rig.start();
		await until(() => page.scene.link.isUp, 15);
		// Another one's code opens this door.
		expect((await page.post("/api/order", { id: "o-4", work: attended })).status).toBe(401);
		page.close();
		await served.close();
		await rig.die();
	});

	it("that hangs is not called up, and a stop says so within seconds", {
		timeout: 60_000,
	}, async () => {
		const rig = new SocketController();
		await rig.start();
		const served = await Served.open({ port: rig.socket });
		await served.isUp();
		const page = new Page(served);
		await page.look();
		rig.hang();
		const beganMs = performance.now();
		rig.decide = () => null;
		const { status, body } = await page.post("/api/stop", { id: "s" });
		expect(status).toBe(504);
		expect(body.error.what).toContain("stop button");
		expect(performance.now() - beganMs).toBeLessThan(5_000);
		page.close();
		await served.close();
		await rig.die();
	});

	it("whose rig file nobody can read is told with the reason, and still stops", {
		timeout: 30_000,
	}, async () => {
		const rig = new SocketController();
		rig.rigYaml = "rig: 5\n";
		await rig.start();
		const served = await Served.open({ port: rig.socket });
		const page = new Page(served);
		await page.look();
		await until(() => page.scene.link.isUp && page.scene.link.why !== "", 10);
		expect(page.scene.rig).toBeNull();
		expect(page.scene.link.why).toContain("the controller's rig file");
		expect((await page.post("/api/stop", { id: "s" })).status).toBe(200);
		page.close();
		await served.close();
		await rig.die();
	});
});

describe("without a controller", () => {
	it("the bench comes first, and a code of this computer opens notes alone", async () => {
		const served = await Served.open({});
		const page = new Page(served);
		expect((await page.get("/")).headers.get("location")).toBe("/bench");
		expect((await page.get("/bench")).body).toContain("bench");
		const shown = await page.post("/api/pair/show");
		expect(shown.body).toMatchObject({ isShown: true, at: "server" });
		expect((await page.post("/api/pair", { code: served.codes.at(-1) })).status).toBe(200);
		await page.look();
		expect(page.scene.session.may).toBe("note");
		expect((await page.post("/api/order", { id: "a", work: attended })).status).toBe(403);
		expect((await page.post("/api/stop", { id: "a" })).status).toBe(504);
		page.close();
		await served.close();
	});
});
