// The season page of a drawn season, over its real routes: it shows what the paper shows, in the
// reader's units; on a phone and on a desk, by day and by night, without a violation that axe-core
// knows of; every word is the catalogue's or is marked as told; it says when nobody answers.
// Needs the build. Its pictures are left in .build/looks.

import { mkdirSync, mkdtempSync, readFileSync } from "node:fs";
import type { AddressInfo } from "node:net";
import { tmpdir } from "node:os";
import { extname, join } from "node:path";
import { AxeBuilder } from "@axe-core/playwright";
import { createAdaptorServer, type ServerType } from "@hono/node-server";
import { Hono } from "hono";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { seasonRoutes } from "../../host/serve/season-routes.ts";
import { makeSeason } from "../archive/drawn-season.ts";
import { RIG } from "../archive/season-log.ts";
import { root } from "../stories/world.ts";
import { DESKTOP, launchChromium, PHONE } from "./chromium.ts";

const LOOKS = join(root, ".build/looks");
const BUILT = join(root, ".build/web");
const TYPES: Readonly<Record<string, string>> = {
	".html": "text/html; charset=utf-8",
	".js": "text/javascript",
	".css": "text/css",
	".svg": "image/svg+xml",
};
const PAGE_POLICY = "default-src 'self'; frame-ancestors 'none'; base-uri 'none'";
const sizes = { phone: PHONE, desktop: DESKTOP } as const;

let browser: Browser;
let server: ServerType;
let address = "";
beforeAll(async () => {
	mkdirSync(LOOKS, { recursive: true });
	const file = join(mkdtempSync(join(tmpdir(), "lees-season-page-")), "season.sqlite");
	makeSeason(file, 7);
	const app = new Hono();
	app.route("/", seasonRoutes(file));
	app.get("*", (c) => {
		const path = c.req.path === "/season" ? "/season.html" : c.req.path;
		c.header("content-security-policy", PAGE_POLICY);
		c.header("content-type", TYPES[extname(path)] ?? "text/plain");
		return c.body(new Uint8Array(readFileSync(join(BUILT, path))));
	});
	server = createAdaptorServer(app);
	await new Promise<void>((good) => server.listen(0, "127.0.0.1", good));
	address = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
	browser = await launchChromium();
});
afterAll(async () => {
	await browser.close();
	server.close();
});

interface Opened {
	readonly page: Page;
	readonly wrong: string[];
}

async function open(
	size: keyof typeof sizes,
	light: "day" | "night",
	choices: object = {},
): Promise<Opened> {
	const context = await browser.newContext({
		viewport: sizes[size],
		colorScheme: light === "day" ? "light" : "dark",
	});
	await context.addInitScript(
		`localStorage.setItem("lees.choices", ${JSON.stringify(JSON.stringify(choices))})`,
	);
	const page = await context.newPage();
	const wrong: string[] = [];
	page.on("pageerror", ({ message }) => wrong.push(message));
	page.on("console", (said) => {
		if (said.type() === "error") wrong.push(said.text());
	});
	await page.goto(`${address}/season`);
	await page.locator("article h1").waitFor();
	return { page, wrong };
}

describe.each(["phone", "desktop"] as const)("the season page on a %s", (size) => {
	it.each(["day", "night"] as const)("by %s pleases axe-core and fits", async (light) => {
		const { page, wrong } = await open(size, light);
		const { violations } = await new AxeBuilder({ page }).analyze();
		expect(violations.map(({ id, nodes }) => `${id}: ${nodes[0]?.html}`)).toEqual([]);
		const wide = await page.evaluate("document.documentElement.scrollWidth > innerWidth");
		expect(wide).toBe(false);
		await page.screenshot({ path: join(LOOKS, `season-${size}-${light}.png`), fullPage: true });
		expect(wrong).toEqual([]);
		await page.context().close();
	});
});

describe("the season page", () => {
	it("shows what the paper shows, in the reader's units, as it asks for the paper", async () => {
		const { page } = await open("desktop", "day", { volume: "gallons" });
		const text = await page.locator("article").textContent();
		expect(text).toContain(`Season of ${RIG}`);
		expect(text).toContain("INVENTED DATA");
		expect(text).toContain("US gal by the meter");
		const pdf = await page.getByRole("link", { name: "PDF, Letter" }).getAttribute("href");
		const answer = await page.request.get(`${address}${pdf}`);
		expect(answer.headers()["content-type"]).toBe("application/pdf");
		const html = await page.request.get(
			`${address}${await page.getByRole("link", { name: "One HTML file" }).getAttribute("href")}`,
		);
		const cells = (all: string[]) => all.map((cell) => cell.trim());
		const shown = cells(await page.locator("article td, article tbody th").allTextContents());
		await page.setContent((await html.text()).replaceAll(/<style>.*?<\/style>/gs, ""));
		const printed = cells(await page.locator("main td, main tbody th").allTextContents());
		expect(shown.length).toBeGreaterThan(200);
		expect(shown).toEqual(printed);
		await page.context().close();
	});

	it("changes its units at once", async () => {
		const { page } = await open("desktop", "day");
		expect(await page.locator("article").textContent()).toContain("L by the meter");
		await page.locator(".settings summary").click();
		await page.getByLabel("Volume").selectOption("gallons");
		expect(await page.locator("article").textContent()).toContain("US gal by the meter");
		await page.context().close();
	});

	it("has every word from the catalogue, but for what the log and people told", async () => {
		const { page } = await open("phone", "day", { language: "invented" });
		const left = await page.evaluate(`
			(() => {
				const found = [];
				const walker = document.createTreeWalker(document.querySelector("article"), 4);
				for (let node = walker.nextNode(); node !== null; node = walker.nextNode()) {
					if (node.parentElement.closest("[data-told], h1, select")) continue;
					const text = node.textContent.replaceAll(/Season rig|UTC|starboard|port|Letter/g, "");
					if (/[a-zA-Z]{2}/.test(text)) found.push(text);
				}
				return found;
			})()`);
		expect(left).toEqual([]);
		await page.context().close();
	});

	it("prints from the file as two sheets that need nobody", async () => {
		const { page } = await open("desktop", "day");
		const href = await page.getByRole("link", { name: "One HTML file" }).getAttribute("href");
		const asked: string[] = [];
		page.on("request", (request) => asked.push(new URL(request.url()).pathname));
		const wrong: string[] = [];
		page.on("console", (said) => {
			if (said.type() === "error") wrong.push(said.text());
		});
		await page.goto(`${address}${href}`);
		expect(await page.evaluate("getComputedStyle(document.querySelector('h1')).fontSize")).not.toBe(
			"32px",
		);
		const pdf = await page.pdf({ preferCSSPageSize: true });
		expect(pdf.toString("latin1").match(/\/Type \/Page\b(?!s)/g)?.length).toBe(2);
		expect(asked.filter((path) => path !== "/favicon.ico")).toEqual(["/report.html"]);
		expect(wrong.filter((line) => !line.includes("favicon"))).toEqual([]);
		const { violations } = await new AxeBuilder({ page }).analyze();
		expect(violations.map(({ id, nodes }) => `${id}: ${nodes[0]?.html}`)).toEqual([]);
		await page.context().close();
	});

	it("says that nobody answers, and asks again when it is told to", async () => {
		const { page } = await open("phone", "night");
		await page.context().setOffline(true);
		await page.getByRole("button", { name: "Ask again" }).click();
		await page.getByRole("alert").waitFor();
		expect(await page.getByRole("alert").textContent()).toContain("There is no answer");
		await page.context().setOffline(false);
		await page.getByRole("button", { name: "Ask again" }).click();
		await page.locator("article h1").waitFor();
		await page.context().close();
	});
});
