// Every word of a page comes from the catalogue: with the invented language in its place, in which
// no letter is Latin, no Latin letter is left on the page but in names and in what the controller
// itself has said; a date is in the browser's own words. What is read aloud counts as well.

import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { tripCodes, trips } from "../../firmware/cycle/trips.ts";
import { launchChromium, PHONE } from "./chromium.ts";
import { RIG, SCENES, SERIES, trippedBy } from "./invented-scenes.ts";
import { PageServer } from "./page-server.ts";

/** Names are the same in every language, and so are figures' marks. */
const NAMES = RIG.tanks.map(({ name }) => name);

/** Texts that are seen or read aloud, in which Latin letters are left. */
const LEFT = `(() => {
	const names = ${JSON.stringify(NAMES)};
	const bare = (text) => names.reduce((rest, name) => rest.replaceAll(name, ""), text ?? "");
	const isLatin = (text) => /[a-zA-Z]/.test(bare(text));
	const isTold = (element) => element.closest("[data-told], time, script, style") !== null;
	const found = [];
	const walker = document.createTreeWalker(document.documentElement, NodeFilter.SHOW_TEXT);
	for (let node = walker.nextNode(); node !== null; node = walker.nextNode()) {
		if (!isTold(node.parentElement) && isLatin(node.data)) found.push(node.data);
	}
	for (const element of document.querySelectorAll("*")) {
		for (const name of ["aria-label", "title", "alt", "placeholder", "aria-valuetext"]) {
			const text = element.getAttribute(name);
			if (!isTold(element) && isLatin(text)) found.push(name + ": " + text);
		}
	}
	return found;
})()`;
const OPEN_ALL = `for (const more of document.querySelectorAll("details")) more.open = true`;

let browser: Browser;
let server: PageServer;
let page: Page;
beforeAll(async () => {
	browser = await launchChromium();
	server = await PageServer.open(SCENES.idle, SERIES);
	const context = await browser.newContext({ viewport: PHONE });
	await context.addInitScript(
		`localStorage.setItem("lees.choices", JSON.stringify({ language: "invented" }))`,
	);
	page = await context.newPage();
	await page.goto(server.address);
	await page.locator("h1").waitFor();
});
afterAll(async () => {
	await browser.close();
	await server.close();
});

const left = async () => {
	await page.evaluate(OPEN_ALL);
	return page.evaluate(LEFT);
};

describe("the live page in another language", () => {
	it.each(Object.keys(SCENES) as Array<keyof typeof SCENES>)(
		"has no word of its own when %s",
		async (name) => {
			server.tell({ ...SCENES[name], session: { may: "order", endsInMs: 1_000_000 } });
			await page
				.locator(
					`[data-state="${SCENES[name].status?.state ?? ""}"], section.state:not([data-state])`,
				)
				.first()
				.waitFor();
			expect(await left()).toEqual([]);
		},
	);

	it("words every trip by its code", async () => {
		for (const code of tripCodes) {
			server.tell(trippedBy(code, trips[code].cause.slice(0, 60)));
			await page.locator(".trips [data-told]", { hasText: code }).waitFor();
			expect(await left(), code).toEqual([]);
		}
	});

	it.each(["polish", "transfer", "sweep"])("words the order of a %s", async (work) => {
		server.tell(SCENES.idle);
		await page.locator(`input[value="${work}"]`).check();
		await page.locator('input[value="leaves"]').check();
		await page.locator("form.order button[type=submit]").click();
		expect(await left()).toEqual([]);
		await page.locator('input[value="stays"]').check();
	});

	it("would find a word that is not in the catalogue", async () => {
		await page.evaluate(`document.querySelector("h1").append("stray")`);
		expect(await left()).toEqual(["stray"]);
	});
});
