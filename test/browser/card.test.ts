// The leave-it card in Debian's Chromium: filled in from the feed or left blank, one sheet of A4
// and of Letter, black on white whatever the page's light; axe finds nothing.

import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { AxeBuilder } from "@axe-core/playwright";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { en } from "../../host/web/words/en.ts";
import { root } from "../stories/world.ts";
import { DESKTOP, launchChromium, PHONE } from "./chromium.ts";
import { SCENES, SERIES } from "./invented-scenes.ts";
import { PageServer } from "./page-server.ts";

const said = en.card;
/** Pictures are left for who wants to look at them. */
const LOOKS = join(root, ".build/looks");
const look = (name: string) => join(LOOKS, `card-${name}`);

let browser: Browser;
let server: PageServer;
beforeAll(async () => {
	mkdirSync(LOOKS, { recursive: true });
	browser = await launchChromium();
	server = await PageServer.open(SCENES.polishing, SERIES);
}, 60_000);
afterAll(async () => {
	await browser.close();
	await server.close();
});

async function open(scene: keyof typeof SCENES, viewport = DESKTOP, theme = "day"): Promise<Page> {
	server.tell(SCENES[scene]);
	const colorScheme = theme === "day" ? "light" : "dark";
	const context = await browser.newContext({ viewport, colorScheme });
	const page = await context.newPage();
	await page.goto(`${server.address}/card`);
	await page.getByText(SCENES[scene].rig === null ? said.blank : said.filled).waitFor();
	return page;
}

/** A rig of which nothing has been told. */
async function openBlank(): Promise<Page> {
	const context = await browser.newContext({ viewport: DESKTOP });
	const page = await context.newPage();
	await page.route("**/api/feed", (route) => route.abort());
	await page.goto(`${server.address}/card`);
	await page.getByText(said.blank).waitFor();
	return page;
}

const pagesIn = (pdf: Buffer): number =>
	[...pdf.toString("latin1").matchAll(/\/Type\s*\/Page\b(?!s)/g)].length;

describe("the card", () => {
	it("has the rig, its tanks, the order and the check in its order", async () => {
		const page = await open("polishing");
		const sheet = page.locator("article.sheet");
		const { rig, status } = SCENES.polishing;
		for (const tank of rig?.tanks ?? [])
			await sheet.getByText(tank.name, { exact: false }).first().waitFor();
		const text = (await sheet.textContent()) ?? "";
		expect(text).toContain(rig?.rig);
		expect(text).toContain(`Polish ${status?.order?.tank}`);
		const at = said.check.steps.map((step) => text.indexOf(step));
		expect(at.every((place, i) => place > (at[i - 1] ?? 0))).toBe(true);
		for (const { name } of Object.values(en.rig.trips)) expect(text).toContain(name);
		await page.context().close();
	});

	it("tells what no sensor covers, and that a person stays", async () => {
		const { rig } = SCENES.polishing;
		if (rig === null) throw new Error("the scene has no rig");
		const bare = { ...SCENES.polishing, rig: { ...rig, sensors: [] } };
		const page = await open("polishing");
		server.tell(bare);
		await page.getByText(said.coverage.mayNot).waitFor();
		await page.getByText(en.rig.hazards["return-falls-out"] ?? "").waitFor();
		await page.context().close();
	});

	it("of a rig that nobody has told of has lines to be written on", async () => {
		const page = await openBlank();
		expect(await page.locator("td.blank").count()).toBe(6);
		await page.getByText(said.coverage.unknown).waitFor();
		await page.context().close();
	});

	it.each(["A4", "Letter"])(
		"is one sheet of %s, filled in or blank, by night too",
		async (format) => {
			const filled = await open("polishing", DESKTOP, "night");
			const blank = await openBlank();
			for (const [name, page] of [
				["filled", filled],
				["blank", blank],
			] as const) {
				const pdf = await page.pdf({ format, preferCSSPageSize: false });
				writeFileSync(look(`${name}-${format}.pdf`), pdf);
				expect(pagesIn(pdf), name).toBe(1);
			}
			await filled.emulateMedia({ media: "print" });
			const ink = "getComputedStyle(document.querySelector('article')).color";
			expect(await filled.evaluate(ink)).toBe("rgb(0, 0, 0)");
			const paper = "getComputedStyle(document.documentElement).backgroundColor";
			expect(await filled.evaluate(paper)).toBe("rgb(255, 255, 255)");
			await filled.context().close();
			await blank.context().close();
		},
	);
});

describe.each(["day", "night"])("by %s", (theme) => {
	it.each([
		["phone", PHONE],
		["desktop", DESKTOP],
	])("on a %s axe finds nothing, and nothing is wider than the page", async (size, viewport) => {
		const page = await open("polishing", viewport, theme);
		await page.screenshot({ path: look(`${size}-${theme}.png`), fullPage: true });
		expect(await page.evaluate("document.documentElement.scrollWidth")).toBe(viewport.width);
		const { violations } = await new AxeBuilder({ page }).analyze();
		expect(violations.map(({ id, nodes }) => [id, nodes[0]?.html])).toEqual([]);
		await page.context().close();
	});
});
