// The bench page at work and tripped, everything unfolded, on a phone and on a desk, by day and by
// night: no violation that axe-core knows of, nothing wider than the window. In the invented
// language no Latin letter is left on it but in names and in what the controller or the model says.

import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { AxeBuilder } from "@axe-core/playwright";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { en } from "../../host/web/words/en.ts";
import { invented } from "../../host/web/words/invented.ts";
import { root } from "../stories/world.ts";
import { openBench, order, press, speed, untilState } from "./bench-drive.ts";
import { DESKTOP, launchChromium, PHONE } from "./chromium.ts";

const LOOKS = join(root, ".build/looks");
const OPEN_ALL = `for (const more of document.querySelectorAll("main details")) more.open = true`;
const NAMES = ["starboard", "port", "day"];

const LEFT = `(() => {
	const names = ${JSON.stringify(NAMES)};
	const bare = (text) => names.reduce((rest, name) => rest.replaceAll(name, ""), text ?? "");
	const found = [];
	const walker = document.createTreeWalker(document.documentElement, NodeFilter.SHOW_TEXT);
	for (let node = walker.nextNode(); node !== null; node = walker.nextNode()) {
		const isTold = node.parentElement.closest("[data-told], time, script, style") !== null;
		if (!isTold && /[a-zA-Z]/.test(bare(node.data))) found.push(node.data);
	}
	for (const element of document.querySelectorAll("[aria-label], [aria-valuetext]")) {
		for (const name of ["aria-label", "aria-valuetext"]) {
			const text = element.getAttribute(name);
			if (/[a-zA-Z]/.test(bare(text))) found.push(name + ": " + text);
		}
	}
	return found;
})()`;

let browser: Browser;
beforeAll(async () => {
	mkdirSync(LOOKS, { recursive: true });
	browser = await launchChromium();
});
afterAll(() => browser.close());

async function expectGood(page: Page, width: number): Promise<void> {
	expect(await page.evaluate("document.documentElement.scrollWidth")).toBe(width);
	const { violations } = await new AxeBuilder({ page }).analyze();
	expect(violations.map(({ id, nodes }) => [id, nodes.map((node) => node.html)])).toEqual([]);
}

describe.each(["light", "dark"] as const)("the bench page in a %s scheme", (colorScheme) => {
	it.each([
		["phone", PHONE],
		["desktop", DESKTOP],
	] as const)(
		"pleases on a %s",
		async (size, viewport) => {
			const { page, errors, close } = await openBench(browser, { viewport, colorScheme });
			const shot = (name: string, fullPage = false) =>
				page.screenshot({
					path: join(LOOKS, `bench-${name}-${size}-${colorScheme}.png`),
					fullPage,
				});
			await page.evaluate(OPEN_ALL);
			await speed(page, "× 60");
			await order(page, 100);
			await untilState(page, /Polishing/);
			await page.evaluate("scrollTo(0, 0)");
			await shot("polishing");
			await page.getByLabel(en.bench.faults.names["motor-wire-off"], { exact: true }).check();
			await untilState(page, /Tripped/);
			await press(page, "Pause");
			await page.evaluate("scrollTo(0, 0)");
			await shot("tripped");
			await shot("tripped-whole", true);
			await expectGood(page, viewport.width);
			expect(errors).toEqual([]);
			await close();
		},
		120_000,
	);
});

it("has no word of its own in another language", async () => {
	const { page, close } = await openBench(browser, {}, { language: "invented" });
	const said = invented(en.bench);
	await page.getByRole("button", { name: said.time.go }).click();
	await page.getByLabel(said.faults.names["hose-off"], { exact: true }).waitFor({
		state: "attached",
	});
	await page.evaluate(OPEN_ALL);
	await page.getByLabel(said.faults.names["controller-hangs"], { exact: true }).check();
	await page.getByText(said.dead).waitFor();
	expect(await page.evaluate(LEFT)).toEqual([]);
	await close();
}, 60_000);
