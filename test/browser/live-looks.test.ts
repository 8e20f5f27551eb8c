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

		it.each(scenes)("pleases when %s", async (scene) => {
			server.tell(SCENES[scene]);
			await page.goto(server.address);
			await page.locator("h1").waitFor();
			expect(await page.getAttribute("html", "data-theme")).toBe(light);
			await page.screenshot({ path: join(LOOKS, `live-${scene}-${size}-${light}.png`) });
			await page.evaluate(OPEN_ALL);
			const whole = `live-${scene}-${size}-${light}-whole.png`;
			await page.screenshot({ path: join(LOOKS, whole), fullPage: true });
			expect(await page.evaluate("document.documentElement.scrollWidth")).toBe(viewport.width);
			expect(await page.evaluate(SMALL_TARGETS)).toEqual([]);
			const { violations } = await new AxeBuilder({ page }).analyze();
			expect(violations.map(({ id, nodes }) => [id, nodes.map((node) => node.html)])).toEqual([]);
			expect(wrong).toEqual([]);
		});
	});
});
