// The bench page in a browser, as a person uses it: by the names of its buttons and fields. Once it
// has opened there is no server and no network any more.

import type { Browser, BrowserContextOptions, Page } from "playwright-core";
import { DESKTOP } from "./chromium.ts";
import { SCENES, SERIES } from "./invented-scenes.ts";
import { PageServer } from "./page-server.ts";

export interface OpenBench {
	readonly page: Page;
	/** Addresses asked for since nobody answers any more, and what the page complained of. */
	readonly asked: string[];
	readonly errors: string[];
	close(): Promise<void>;
}

/** The page with all that it loads; from then on there is neither server nor network. */
export async function openBench(
	browser: Browser,
	options: BrowserContextOptions = {},
	choices: object = {},
): Promise<OpenBench> {
	const server = await PageServer.open(SCENES.idle, SERIES);
	const context = await browser.newContext({ viewport: DESKTOP, ...options });
	const chosen = JSON.stringify(JSON.stringify(choices));
	await context.addInitScript(`localStorage.setItem("lees.choices", ${chosen})`);
	const page = await context.newPage();
	const asked: string[] = [];
	const errors: string[] = [];
	page.on("pageerror", (error) => errors.push(error.message));
	page.on("console", (message) => {
		if (message.type() === "error") errors.push(message.text());
	});
	await page.goto(new URL("/bench", server.address).href);
	await page.waitForSelector("[data-whole]", { timeout: 30_000 });
	await server.close();
	await context.setOffline(true);
	page.on("request", (request) => {
		if (!/^(blob|data):/.test(request.url())) asked.push(request.url());
	});
	await page.route("**/*", (route) => route.abort());
	return { page, asked, errors, close: () => context.close() };
}

export const speed = (page: Page, name: string) =>
	page.getByLabel("Speed", { exact: true }).selectOption({ label: name });

export const press = (page: Page, name: string | RegExp) =>
	page.getByRole("button", { name }).click();

/** Waits until the state in large letters is one of them. */
export const untilState = (page: Page, state: RegExp, wallMs = 60_000) =>
	page.getByRole("heading", { level: 1, name: state }).waitFor({ timeout: wallMs });

/** Somebody arms it and orders so many litres out of the port tank. */
export async function order(page: Page, litres: number): Promise<void> {
	await press(page, /^Hold the box/);
	await page.getByLabel("Until when").selectOption({ label: "An amount" });
	await page.getByLabel("How much", { exact: true }).fill(String(litres));
	await page.getByLabel(/Nobody stays at the rig/).check();
	await page.getByLabel(/I have read what is not covered/).check();
	await press(page, /^Order: /);
	await page.getByText("Order taken.").first().waitFor();
}

/** The session so far as a file. */
export async function saveScenario(page: Page, path: string): Promise<void> {
	const download = page.waitForEvent("download");
	await press(page, "Save as scenario");
	await (await download).saveAs(path);
}

/** As the page tells it: `Time 1:02:03.4`. */
export async function simulatedMs(page: Page): Promise<number> {
	const text = (await page.locator(".time-clock").textContent()) ?? "";
	const [, h = "0", min = "0", s = "0"] = /(\d+):(\d+):([\d.]+)/.exec(text) ?? [];
	return Math.round(1_000 * (3_600 * Number(h) + 60 * Number(min) + Number(s)));
}
