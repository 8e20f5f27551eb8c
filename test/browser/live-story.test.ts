// What a person does with the live page: stop, pair, order, acknowledge, and what the page says
// when nobody answers. The browser and the page are real, the server's answers are the test's.

import type { Browser, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { launchChromium, PHONE } from "./chromium.ts";
import { polishingAt, SCENES, SERIES } from "./invented-scenes.ts";
import { PageServer } from "./page-server.ts";

const TAKEN = { accepted: true, reasons: [] };
const ANIMATION = `getComputedStyle(document.querySelector(".is-flowing .flow")).animationName`;
const PAIRED = { may: "order", endsInMs: 1_800_000 } as const;

let browser: Browser;
let server: PageServer;
let page: Page;
beforeAll(async () => {
	browser = await launchChromium();
});
afterAll(() => browser.close());
beforeEach(async () => {
	server = await PageServer.open(SCENES.idle, SERIES);
	page = await browser.newPage({ viewport: PHONE });
});
afterEach(async () => {
	await page.close();
	await server.close();
});

const open = async (scene = SCENES.idle) => {
	server.tell(scene);
	await page.goto(server.address);
	await page.locator("h1").waitFor();
};
const says = (text: string | RegExp) => page.getByText(text).first().waitFor();
const posted = (path: string) =>
	server.asked.filter((one) => one.path === path).map(({ body }) => body);
const stopButton = () => page.getByRole("button", { name: "STOP" });

describe("stop", () => {
	it("is the first thing that the keyboard reaches, and acts at once, without a code", async () => {
		server.replies["/api/stop"] = () => [200, TAKEN];
		await open(SCENES.polishing);
		await page.keyboard.press("Tab");
		expect(await page.evaluate("document.activeElement.textContent")).toBe("STOP");
		await page.keyboard.press("Enter");
		await says("Stop taken by the controller.");
		expect(posted("/api/stop")).toMatchObject([{ id: expect.stringMatching(/^[0-9a-f]{32}$/) }]);
	});

	it("is a new command at every press", async () => {
		server.replies["/api/stop"] = () => [200, TAKEN];
		await open(SCENES.polishing);
		await stopButton().click();
		await stopButton().click();
		await expect.poll(() => posted("/api/stop").length).toBe(2);
		expect(new Set(posted("/api/stop").map((body) => JSON.stringify(body))).size).toBe(2);
	});

	it("sends to the rig whoever gets no answer, and stays to be pressed", async () => {
		server.replies["/api/stop"] = () => [504, { error: { what: "the controller is away" } }];
		await open(SCENES.polishing);
		await stopButton().click();
		const alarm = page.getByRole("alert").filter({ hasText: "Press the stop button at the rig" });
		await alarm.waitFor();
		server.replies["/api/stop"] = () => [200, TAKEN];
		await stopButton().click();
		await says("Stop taken by the controller.");
	});

	it("is always in sight, and covers nothing that has the focus", async () => {
		await open();
		const order = page.getByRole("button", { name: /^Order:/ });
		await order.focus();
		const [stopBox, orderBox] = [
			await page.locator(".stop-bar").boundingBox(),
			await order.boundingBox(),
		];
		expect(stopBox?.y).toBeLessThan(PHONE.height);
		expect((orderBox?.y ?? 0) + (orderBox?.height ?? 0)).toBeLessThanOrEqual(stopBox?.y ?? 0);
	});
});

describe("an order", () => {
	const fillPolish = async () => {
		await page.getByLabel("How many turnovers").fill("1,5");
		await page.getByLabel(/I stay at the rig/).check();
	};

	it("asks who is there before anything else, and says so at the field", async () => {
		await open();
		await page.getByRole("button", { name: "Order: Polish a tank" }).click();
		await says("Choose one.");
		expect(posted("/api/order")).toEqual([]);
		expect(await page.evaluate("document.activeElement.type")).toBe("radio");
	});

	it("asks for the code that the controller shows, then is given", async () => {
		let isPaired = false;
		server.replies["/api/pair/show"] = () => [
			200,
			{ isShown: true, waitSeconds: 10, at: "controller" },
		];
		server.replies["/api/pair"] = (body) => {
			isPaired = JSON.stringify(body) === '{"code":"123456"}';
			return isPaired ? [200, {}] : [403, { triesLeft: 4 }];
		};
		server.replies["/api/order"] = () => (isPaired ? [200, TAKEN] : [401, {}]);
		await open();
		await fillPolish();
		await page.getByRole("button", { name: "Order: Polish a tank" }).click();
		const dialog = page.getByRole("dialog");
		await dialog.getByRole("button", { name: "Show a code at the controller" }).click();
		await says("The code stands at the controller for three minutes.");
		const code = dialog.getByLabel("Code");
		await code.fill("12345");
		await dialog.getByRole("button", { name: "Pair" }).click();
		await says("Six digits.");
		await code.fill("654 321");
		await dialog.getByRole("button", { name: "Pair" }).click();
		await says("That is not the code. Tries left: 4.");
		expect(posted("/api/order")).toEqual([]);
		await code.fill("123456");
		await dialog.getByRole("button", { name: "Pair" }).click();
		await says("Order taken. Horn and lamp come before the pump.");
		expect(posted("/api/order")).toMatchObject([
			{ work: { polish: { tank: "port", turnovers: 1.5, attended: true } }, isCoverageSeen: false },
		]);
		expect(await dialog.isVisible()).toBe(false);
	});

	it("keeps the stop within reach while the code is asked for", async () => {
		server.replies["/api/stop"] = () => [200, TAKEN];
		await open();
		await fillPolish();
		await page.getByRole("button", { name: "Order: Polish a tank" }).click();
		await page.getByRole("dialog").getByRole("button", { name: "STOP" }).click();
		await expect.poll(() => posted("/api/stop").length).toBe(1);
	});

	it("that nobody attends shows what is not covered, and waits till that is read", async () => {
		server.replies["/api/order"] = () => [
			200,
			{ accepted: false, reasons: ["the rig is not commissioned"] },
		];
		await open({ ...SCENES.idle, session: PAIRED });
		await page.getByLabel("Nobody stays at the rig").check();
		await says(/Nobody would hear it/);
		await says("A blocked tube is taken for a plugged element.");
		await page.getByRole("button", { name: "Order: Polish a tank" }).click();
		await says("Read the list and tick this first.");
		expect(posted("/api/order")).toEqual([]);
		await page.getByLabel(/I have read what is not covered/).check();
		await page.getByRole("button", { name: "Order: Polish a tank" }).click();
		await says("the rig is not commissioned");
		expect(posted("/api/order")).toMatchObject([
			{ work: { polish: { attended: false } }, isCoverageSeen: true },
		]);
	});

	it("without an answer may be sent again, and has the same name then", async () => {
		server.replies["/api/order"] = () => [504, { error: { what: "no answer" } }];
		await open({ ...SCENES.idle, session: PAIRED });
		await fillPolish();
		const button = page.getByRole("button", { name: "Order: Polish a tank" });
		await button.click();
		await says(/The order may have been taken/);
		await button.click();
		await expect.poll(() => posted("/api/order").length).toBe(2);
		const [first, second] = posted("/api/order");
		expect(second).toEqual(first);
	});

	it("that was not sent is said to start nothing, and is a new one the next time", async () => {
		const error = { what: "Not sent: the controller does not answer." };
		server.replies["/api/order"] = () => [504, { error, isMaybeTaken: false }];
		await open({ ...SCENES.idle, session: PAIRED });
		await fillPolish();
		const button = page.getByRole("button", { name: "Order: Polish a tank" });
		await button.click();
		await says("The order was not sent, and nothing starts by it:");
		await button.click();
		await expect.poll(() => posted("/api/order").length).toBe(2);
		const [first, second] = posted("/api/order");
		expect(second).not.toEqual(first);
	});

	it("is in litres, whatever the reader typed it in", async () => {
		server.replies["/api/order"] = () => [200, TAKEN];
		await open({ ...SCENES.idle, session: PAIRED });
		await page.getByText("Settings").click();
		await page.getByLabel("Volume").selectOption("gallons");
		await page.getByLabel("Until when").selectOption("litres");
		await page.getByLabel("How much", { exact: true }).fill("10");
		await page.getByLabel(/I stay at the rig/).check();
		await page.getByRole("button", { name: "Order: Polish a tank" }).click();
		await expect.poll(() => posted("/api/order").length).toBe(1);
		expect(posted("/api/order")).toMatchObject([{ work: { polish: { litres: 37.85411784 } } }]);
	});

	it("is not offered while another is at work", async () => {
		await open(SCENES.polishing);
		await says("An order is at work. Stop it before you give another.");
		expect(await page.getByRole("button", { name: /^Order:/ }).count()).toBe(0);
	});
});

describe("a trip", () => {
	it("is read out at once, says what to do and why it is not acknowledged yet", async () => {
		await open(SCENES.polishing);
		server.tell(SCENES.water);
		await page.getByRole("alert").filter({ hasText: "Trip: Water in the bowl" }).waitFor();
		await says("Drain the bowl into a container and note the mL.");
		await says("the probe reads wet: drain the bowl");
		await says(/Then acknowledge at the box/);
		expect(await page.getByRole("button", { name: "Acknowledge" }).count()).toBe(0);
	});

	it("that a page may acknowledge has the button for it, and needs the code", async () => {
		server.replies["/api/acknowledge"] = () => [200, TAKEN];
		await open(SCENES.full);
		await page.getByRole("button", { name: "Acknowledge" }).click();
		await page.getByRole("dialog").waitFor();
		expect(posted("/api/acknowledge")).toEqual([]);
		await page.keyboard.press("Escape");
		server.tell({ ...SCENES.full, session: PAIRED });
		await says(/This page may give orders/);
		await page.getByRole("button", { name: "Acknowledge" }).click();
		await says("Acknowledged.");
		expect(posted("/api/acknowledge").length).toBe(1);
	});
});

describe("what is shown", () => {
	it("grows old and unknown when the server goes, and is new when it is back", async () => {
		await open(SCENES.polishing);
		await says("As of now");
		await server.leave();
		await says("No connection to the server. Looking for it.");
		await says(/was on when last heard; now unknown/);
		await says(/What is shown is \d+\ss old/);
		expect(await page.locator(".is-flowing").count()).toBe(0);
		await server.return();
		await says("As of now");
		expect(await page.getByText("No connection to the server").count()).toBe(0);
		expect(await page.locator(".pipes.is-flowing").count()).toBe(1);
	});

	it("grows old when the server falls silent on an open line", async () => {
		await open({ ...SCENES.polishing, link: { isUp: true, heardAgoMs: 9_000, why: "" } });
		await says(/What is shown is \d+\ss old/);
	});

	it("does not move for who asks for less motion, and shows the way by arrows", async () => {
		await page.emulateMedia({ reducedMotion: "reduce" });
		await open(SCENES.polishing);
		expect(await page.evaluate(ANIMATION)).toBe("none");
		expect(await page.locator(".arrows").count()).toBe(1);
	});

	it("moves for everybody else, and only while fuel flows", async () => {
		await open(SCENES.polishing);
		expect(await page.evaluate(ANIMATION)).toBe("flow");
		server.tell(SCENES.idle);
		await says("No fuel flows");
		expect(await page.locator(".is-flowing").count()).toBe(0);
	});

	it("is quiet for a screen reader while figures change, and speaks at another state", async () => {
		await open(SCENES.polishing);
		const HEARD = `globalThis.heard = [];
			for (const region of document.querySelectorAll("[role=status], [role=alert], [aria-live]")) {
				new MutationObserver(() => heard.push(region.textContent)).observe(region,
					{ childList: true, characterData: true, subtree: true });
			}`;
		await page.evaluate(HEARD);
		server.tell(polishingAt(71.3));
		await says("Fuel flows: 71.3 L/h");
		expect(await page.evaluate("heard")).toEqual([]);
		server.tell(SCENES.held);
		await says("Held: port");
		expect(await page.evaluate("heard")).toContain("Held: port");
	});
});
