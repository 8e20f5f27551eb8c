// The live page in every state that matters, on a phone and on a desk, by day and by night: no
// violation that axe-core knows of, nothing wider than the window, everything that is pressed large
// enough. Its pictures are left in .build/looks for who wants to look at them.

import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { AxeBuilder } from "@axe-core/playwright";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { root } from "../stories/world.ts";
import { DESKTOP, launchChromium, PHONE } from "./chromium.ts";
import { SCENES, SERIES } from "./invented-scenes.ts";
import { PageServer } from "./page-server.ts";

const LOOKS = join(root, ".build/looks");
const sizes = { phone: PHONE, desktop: DESKTOP };
const lights = ["day", "night"] as const;

let browser: Browser;
let server: PageServer;
beforeAll(async () => {
	mkdirSync(LOOKS, { recursive: true });
	browser = await launchChromium();
	server = await PageServer.open(SCENES.idle, SERIES);
});
afterAll(async () => {
	await browser.close();
	await server.close();
});

const OPEN_ALL = `for (const more of document.querySelectorAll("main details")) more.open = true`;

/** What a finger has to hit and is smaller than 24 CSS pixels (WCAG 2.2, 2.5.8). */
const SMALL_TARGETS = `[...document.querySelectorAll("a, button, select, summary, .pick, input")]
	.filter((one) => one.getClientRects().length > 0 && !one.closest("label.pick input"))
	.map((one) => ({ name: one.outerHTML.slice(0, 60), box: one.getBoundingClientRect() }))
	.filter(({ box }) => box.bottom > 0 && Math.min(box.width, box.height) < 24)
	.map(({ name }) => name)`;

/** No pixel has more green or blue than the night's brightest red text, of 255. */
const DIM = { isGreenDim: true, isBlueDim: true };

/** What a picture holds of the light that takes night vision away, the browser's own parts too. */
async function glareOf(picture: Buffer): Promise<unknown> {
	const blank = await browser.newPage();
	const glare = await blank.evaluate(`(async () => {
		const picture = new Image();
		picture.src = "data:image/png;base64,${picture.toString("base64")}";
		await picture.decode();
		const canvas = new OffscreenCanvas(picture.width, picture.height);
		const context = canvas.getContext("2d");
		context.drawImage(picture, 0, 0);
		const { data } = context.getImageData(0, 0, picture.width, picture.height);
		let [green, blue] = [0, 0];
		for (let i = 0; i < data.length; i += 4) {
			green = Math.max(green, data[i + 1]);
			blue = Math.max(blue, data[i + 2]);
		}
		return { isGreenDim: green <= 115, isBlueDim: blue <= 90 };
	})()`);
	await blank.close();
	return glare;
}

it("a picture that would blind is found", async () => {
	const page = await browser.newPage({ viewport: { width: 40, height: 40 } });
	await page.setContent("<body style='background: #606060'></body>");
	expect(await glareOf(await page.screenshot())).toEqual({ isGreenDim: true, isBlueDim: false });
	await page.close();
});

async function violationsOf(page: Page): Promise<unknown[]> {
	const { violations } = await new AxeBuilder({ page }).analyze();
	return violations.map(({ id, nodes }) => [id, nodes.map(({ html }) => html)]);
}

const scenes = Object.keys(SCENES) as Array<keyof typeof SCENES>;

describe.each(lights)("the live page by %s", (light) => {
	describe.each(Object.entries(sizes))("on a %s", (size, viewport) => {
		let page: Page;
		const wrong: string[] = [];
		beforeAll(async () => {
			const colorScheme = light === "day" ? "light" : "dark";
			const context = await browser.newContext({ viewport, colorScheme });
			page = await context.newPage();
			page.on("pageerror", ({ message }) => wrong.push(message));
			page.on("console", (said) => {
				if (said.type() === "error") wrong.push(said.text());
			});
		});
		afterAll(() => page.context().close());

		it("pleases while the coverage is read and the code is asked for", async () => {
			server.tell(SCENES.idle);
			await page.goto(server.address);
			await page.getByLabel("Nobody stays at the rig").check();
			await page.getByRole("button", { name: /^Order:/ }).click();
			await page.getByText("Read the list and tick this first.").waitFor();
			const form = await page.screenshot({ path: join(LOOKS, `live-form-${size}-${light}.png`) });
			if (light === "night") expect(await glareOf(form)).toEqual(DIM);
			expect(await violationsOf(page)).toEqual([]);
			await page.getByLabel(/I have read what is not covered/).check();
			await page.getByRole("button", { name: /^Order:/ }).click();
			await page.getByRole("dialog").getByRole("button", { name: "Pair" }).click();
			await page.getByText("Six digits.").waitFor();
			await page.screenshot({ path: join(LOOKS, `live-code-${size}-${light}.png`) });
			expect(await violationsOf(page)).toEqual([]);
			expect(await page.evaluate("document.documentElement.scrollWidth")).toBe(viewport.width);
		});

		it.each(scenes)("pleases when %s", async (scene) => {
			server.tell(SCENES[scene]);
			await page.goto(server.address);
			await page.locator("h1").waitFor();
			expect(await page.getAttribute("html", "data-theme")).toBe(light);
			const seen = await page.screenshot({
				path: join(LOOKS, `live-${scene}-${size}-${light}.png`),
			});
			if (light === "night") expect(await glareOf(seen)).toEqual(DIM);
			await page.evaluate(OPEN_ALL);
			const whole = `live-${scene}-${size}-${light}-whole.png`;
			await page.screenshot({ path: join(LOOKS, whole), fullPage: true });
			expect(await page.evaluate("document.documentElement.scrollWidth")).toBe(viewport.width);
			expect(await page.evaluate(SMALL_TARGETS)).toEqual([]);
			expect(await violationsOf(page)).toEqual([]);
			expect(wrong).toEqual([]);
		});
	});
});
