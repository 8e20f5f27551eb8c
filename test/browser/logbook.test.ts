// The logbook page in Debian's Chromium, on the real routes and a real archive: a note of each
// kind, errors at their fields, a photo, striking, a reload in mid-form, a server that is away or
// whose answer is lost, a button that is pressed twice, pairing. axe finds nothing in either light.

import { copyFileSync, mkdirSync, mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { AxeBuilder } from "@axe-core/playwright";
import type { Browser, BrowserContext, Page } from "playwright-core";
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from "vitest";
import { Archive } from "../../host/archive/archive.ts";
import { type Note, noteKinds } from "../../host/archive/note.ts";
import { en } from "../../host/web/words/en.ts";
import { DEMO_RIG, demoFile, makeDemo } from "../archive/demo-archive.ts";
import { pngOf } from "../serve/small-png.ts";
import { root } from "../stories/world.ts";
import { DESKTOP, launchChromium, PHONE } from "./chromium.ts";
import { CODE, LogbookServer } from "./logbook-server.ts";

const said = en.logbook;
/** Pictures are left for who wants to look at them. */
const LOOKS = join(root, ".build/looks");
const look = (name: string) => join(LOOKS, `logbook-${name}.png`);
const folder = mkdtempSync(join(tmpdir(), "lees-logbook-"));
const demo = demoFile(folder);
let browser: Browser;
let file = "";
let server: LogbookServer;
let context: BrowserContext;
let page: Page;
let copies = 0;

mkdirSync(LOOKS, { recursive: true });
makeDemo(demo);
beforeAll(async () => {
	browser = await launchChromium();
}, 60_000);
afterAll(() => browser.close());
beforeEach(async () => {
	copies += 1;
	file = join(folder, `own-${copies}.sqlite`);
	copyFileSync(demo, file);
	server = await LogbookServer.open(file);
	server.may = "note";
	context = await browser.newContext({ viewport: PHONE, colorScheme: "light" });
	page = await context.newPage();
	await page.goto(server.address);
	await page
		.getByText("sp-1")
		.or(page.getByRole("heading", { name: said.list.heading }))
		.waitFor();
});
afterEach(async () => {
	await context.close();
	await server.leave();
});

function notes(): Note[] {
	const archive = new Archive(file, { create: false });
	const found = archive.notes.of(DEMO_RIG);
	archive.close();
	return found;
}
const pick = (kind: keyof typeof said.kinds) =>
	page.getByLabel(said.kind, { exact: true }).selectOption(kind);
const type = (name: string, text: string) => page.locator(`form [name="${name}"]`).fill(text);
const choose = (name: string, value: string) =>
	page.locator(`form [name="${name}"]`).selectOption(value);
const press = (name: string) => page.getByRole("button", { name, exact: true }).click();
const save = () => press(said.save);
const saved = () => page.getByText(said.saved).waitFor();

async function fillUplift(litres = "120"): Promise<void> {
	await choose("tank", "port");
	await type("litres", litres);
	await type("batch", "B-3");
}

/** How each kind is filled in, and what the archive then has of it. */
const stories: Readonly<Record<string, readonly [fill: () => Promise<void>, note: object]>> = {
	uplift: [() => fillUplift(), { tank: "port", litres: 120, batch: "B-3" }],
	dose: [
		async () => {
			await choose("tank", "port");
			await type("product", "biocide");
			await type("label", "1 mL to 2 L");
			await type("doseMl", "60");
		},
		{ product: "biocide", label: "1 mL to 2 L", doseMl: 60 },
	],
	sample: [
		async () => {
			await choose("tank", "day");
			await page.getByLabel(said.froms["tank-bottom"], { exact: true }).check();
			await page.getByLabel(said.looks.clear, { exact: true }).check();
			await page.getByLabel(said.judged.yes, { exact: true }).check();
		},
		{ tank: "day", from: "tank-bottom", looked: "clear", clearAndBright: true },
	],
	drained: [
		async () => {
			await type("drainedMl", "80");
			await choose("container", "red can");
		},
		{ drainedMl: 80, container: "red can", tank: null },
	],
	waste: [
		async () => {
			await type("wasteMl", "200");
			await choose("container", "?");
			await type("container?", "blue can");
			await type("place", "yard");
			await type("receipt", "77");
		},
		{ wasteMl: 200, container: "blue can", place: "yard", receipt: "77" },
	],
	"element-change": [() => type("micron", "10"), { micron: 10 }],
	"spare-elements": [() => type("count", "3"), { count: 3 }],
	"spot-map": [
		async () => {
			await choose("tank", "port");
			await type("spots", "fore-low, middle, aft");
		},
		{ tank: "port", spots: ["fore-low", "middle", "aft"] },
	],
	spots: [
		async () => {
			await choose("tank", "port");
			await type("spots", "fore-low");
			await page.locator('form [name="run"]').selectOption({ index: 1 });
		},
		{ tank: "port", spots: ["fore-low"], run: expect.any(Number) },
	],
	engine: [
		() => type("standsSinceUtcMs", "2026-11-20T07:00"),
		{ standsSinceUtcMs: new Date("2026-11-20T07:00").getTime() },
	],
};

it("every kind has a story", () => {
	expect(Object.keys(stories).sort()).toEqual([...noteKinds].sort());
});

describe("a note", () => {
	it.each(noteKinds)("of kind %s is written with its caution before it", async (kind) => {
		await pick(kind);
		await page.locator("form").getByText(said.cautions[kind]).waitFor();
		await stories[kind]?.[0]();
		await save();
		await saved();
		expect(notes().at(-1)).toMatchObject({ kind, ...stories[kind]?.[1] });
		await page.locator("ol.notes > li").first().getByText(said.kinds[kind]).waitFor();
	});

	it("that lacks something says so at the field, and keeps what was typed", async () => {
		await type("litres", "-4");
		await save();
		await page.getByText(said.wrong).waitFor();
		const wrong = page.locator("form .field-wrong .wrong");
		expect(await wrong.allTextContents()).toEqual(["▲ Choose one.", "▲ At least 0.01."]);
		await expect
			.poll(() => page.evaluate(`document.activeElement.getAttribute("name")`))
			.toBe("tank");
		expect(server.posted).toEqual([]);
		await choose("tank", "port");
		await type("litres", "4");
		await save();
		await saved();
		expect(notes()).toHaveLength(7);
	});

	it("in gallons is kept in litres", async () => {
		await page.getByText(en.kit.settings).click();
		await page.getByLabel(en.kit.volume).selectOption("gallons");
		await fillUplift("10");
		await save();
		await saved();
		const note = notes().at(-1);
		expect(note?.kind === "uplift" ? note.litres : 0).toBeCloseTo(37.854, 3);
	});

	it("is written once, however often the button is pressed, and its form begins anew", async () => {
		await fillUplift();
		await page.evaluate(`{
			const button = document.querySelector("form button[type=submit]");
			for (let i = 0; i < 5; i += 1) button.click();
		}`);
		await saved();
		expect(notes()).toHaveLength(7);
		expect(server.posted).toEqual(["/api/notes"]);
		expect(await page.locator('form [name="litres"]').inputValue()).toBe("");
		await fillUplift();
		await save();
		await expect.poll(() => notes().length).toBe(8);
	});

	it("outlives a reload while it is being written, kind by kind", async () => {
		await fillUplift();
		await pick("dose");
		await type("product", "biocide");
		await page.reload();
		expect(await page.locator('form [name="litres"]').inputValue()).toBe("120");
		await pick("dose");
		expect(await page.locator('form [name="product"]').inputValue()).toBe("biocide");
	});

	it("that the server refuses comes back into its form, the refusal at its field", async () => {
		// Another clock than this page's: the server alone knows that it is too early for that.
		await page.evaluate(() => {
			const later = Date.now() + 3 * 86_400_000;
			Date.now = () => later;
		});
		await fillUplift();
		const soon = new Date(Date.now() + 2 * 86_400_000).toISOString().slice(0, 16);
		await type("atUtcMs", soon);
		await save();
		await page.getByText(said.wrong).waitFor();
		await page.locator("form .wrong").getByText("a time that has been").waitFor();
		expect(await page.locator('form [name="litres"]').inputValue()).toBe("120");
		await type("atUtcMs", "");
		await save();
		await saved();
		expect(notes()).toHaveLength(7);
	});
});

describe("without a server", () => {
	it("a note is kept over a reload of what is open, and sent once when it is back", async () => {
		await fillUplift();
		await server.leave();
		await save();
		await page.getByText(said.kept).waitFor();
		await page.getByRole("heading", { name: said.waiting.heading }).waitFor({ state: "attached" });
		await server.return();
		await page.reload();
		await expect.poll(() => notes().length, { timeout: 20_000 }).toBe(7);
		await page.getByText(said.waiting.why).waitFor({ state: "detached" });
		await page.reload();
		await page.locator("ol.notes > li").first().waitFor();
		expect(notes()).toHaveLength(7);
	});

	it("a note whose answer was lost is sent again and is one", async () => {
		await fillUplift();
		server.losesAnswers = true;
		await save();
		await page.getByText(said.kept).waitFor();
		expect(notes()).toHaveLength(7);
		server.losesAnswers = false;
		await press(said.waiting.now);
		await page.getByText(said.waiting.why).waitFor({ state: "detached" });
		expect(notes()).toHaveLength(7);
		expect(server.posted.filter((path) => path === "/api/notes").length).toBeGreaterThan(1);
	});

	it("the list stays and says that nothing new comes", async () => {
		await server.leave();
		await page.evaluate(`dispatchEvent(new Event("online"))`);
		await page.getByText(said.noServer).waitFor();
		expect(await page.locator("ol.notes > li").count()).toBe(6);
	});
});

describe("a page that is not paired", () => {
	it("keeps the note, asks for the code, and sends it then", async () => {
		server.may = "look";
		await fillUplift();
		await save();
		await page.getByText(said.waiting.paired).waitFor();
		expect(notes()).toHaveLength(6);
		await press(said.waiting.pair);
		const dialog = page.getByRole("dialog");
		await dialog.getByLabel(en.live.pair.code).fill("000000");
		await dialog.getByRole("button", { name: en.live.pair.pair, exact: true }).click();
		await dialog.getByText("Tries left: 2").waitFor();
		await dialog.getByLabel(en.live.pair.code).fill(CODE);
		await dialog.getByRole("button", { name: en.live.pair.pair, exact: true }).click();
		await expect.poll(() => notes().length).toBe(7);
		await page.getByText(said.waiting.why).waitFor({ state: "detached" });
	});
});

describe("a photo", () => {
	it("goes with its note, made anew, and is shown", async () => {
		await pick("sample");
		await stories.sample?.[0]();
		const photo = { name: "glass.png", mimeType: "image/png", buffer: pngOf(128) };
		await page.locator('input[type="file"]').setInputFiles(photo);
		await page.getByText(/Photo of \d+ kB is ready/).waitFor();
		await page.reload();
		await pick("sample");
		await page.getByText(/Photo of \d+ kB is ready/).waitFor();
		await save();
		await saved();
		const id = notes().at(-1)?.id ?? "";
		const archive = new Archive(file, { create: false });
		expect(archive.photos.read(id)?.kind).toBe("jpeg");
		archive.close();
		const name = new RegExp(`^${said.photoOf(said.kinds.sample)}`);
		await page.getByRole("link", { name }).click();
		await expect.poll(() => page.evaluate("document.images[0]?.naturalWidth")).toBe(1);
	});

	it("that the browser cannot read is refused in words", async () => {
		await pick("sample");
		const photo = { name: "a.heic", mimeType: "image/heic", buffer: Buffer.from("no photo") };
		await page.locator('input[type="file"]').setInputFiles(photo);
		await page.getByText(said.photoUnread).waitFor();
	});
});

describe("striking", () => {
	it("asks, strikes, and leaves the note in the list", async () => {
		const row = page.locator("ol.notes > li").filter({ hasText: said.kinds["spare-elements"] });
		await row.getByRole("button").click();
		await page
			.getByRole("dialog")
			.getByRole("button", { name: said.list.strike, exact: true })
			.click();
		await row.getByText(/^STRUCK/).waitFor();
		expect(notes().map(({ kind }) => kind)).not.toContain("spare-elements");
		expect(await page.locator("ol.notes > li").count()).toBe(6);
	});
});

describe.each([
	["phone", PHONE],
	["desktop", DESKTOP],
])("on a %s", (size, viewport) => {
	it.each(["day", "night"])(
		"by %s axe finds nothing, and nothing is wider than the page",
		async (theme) => {
			await page.setViewportSize(viewport);
			const choices = JSON.stringify({ theme });
			await page.evaluate(`localStorage.setItem("lees.choices", '${choices}')`);
			await page.reload();
			await page.locator("ol.notes > li").first().waitFor();
			for (const kind of noteKinds) {
				await pick(kind);
				if (kind === "sample") await save();
				await page.screenshot({ path: look(`${size}-${theme}-${kind}`), fullPage: true });
				const width = await page.evaluate("document.documentElement.scrollWidth");
				expect(width, kind).toBe(viewport.width);
				// What the others are made of is in these.
				if (!["uplift", "sample", "spots"].includes(kind)) continue;
				const { violations } = await new AxeBuilder({ page }).analyze();
				expect(violations.map(({ id, nodes }) => [id, nodes[0]?.html])).toEqual([]);
			}
		},
	);
});
