// A phone on the saloon table: a browser of its own with the live page, what is read on it and what
// is pressed. Words are the catalogue's, so that a better wording breaks no story.

import type { Browser, BrowserContext, Page } from "playwright-core";
import { expect } from "vitest";
import { words } from "../../host/web/words/words.ts";
import { PHONE } from "./chromium.ts";

const { live } = words();

export class Phone {
	readonly page: Page;
	/** What its script has complained of. */
	readonly faults: string[] = [];
	private readonly context: BrowserContext;

	private constructor(context: BrowserContext, page: Page) {
		this.context = context;
		this.page = page;
		page.on("pageerror", (error) => this.faults.push(error.message));
	}

	static async open(browser: Browser, origin: string, viewport = PHONE): Promise<Phone> {
		const context = await browser.newContext({ viewport });
		const phone = new Phone(context, await context.newPage());
		await phone.page.goto(origin);
		return phone;
	}

	/** The state in its large words. */
	state(): Promise<string> {
		return this.page
			.locator("#state-title")
			.textContent()
			.then((text) => text ?? "");
	}

	/** Until the state's words hold these. */
	async isIn(what: string, secondsMax: number): Promise<void> {
		await expect
			.poll(() => this.state(), { timeout: secondsMax * 1000, interval: 200 })
			.toContain(what)
			.catch(async (error: Error) => {
				throw new Error(`${error.message}; ${await this.whatIsOpen()}`);
			});
	}

	/** Until these words can be read on it. */
	async shows(what: string | RegExp, secondsMax: number): Promise<void> {
		const found = this.page.getByText(what).filter({ visible: true }).first();
		await found.waitFor({ timeout: secondsMax * 1000 });
	}

	async press(name: string): Promise<void> {
		await this.page.getByRole("button", { name, exact: true }).click();
	}

	/** Fills in an attended polish by litres and gives it. */
	async orderPolish(litres: string): Promise<void> {
		const { order } = live;
		const form = this.page.locator("form.order");
		await form.getByLabel(order.goal).selectOption("litres");
		await form.getByLabel(order.amount).fill(litres);
		await form.getByLabel(order.attendedChoices.stays).check();
		await this.press(order.give(order.works.polish));
	}

	/**
	 * Until the order that was given is taken. Where the machine is busy, the board has not told all
	 * of its inputs yet, and the order is refused for that: then a person gives it again.
	 */
	async isTaken(secondsMax: number): Promise<void> {
		const { order } = live;
		const end = Date.now() + secondsMax * 1000;
		const form = this.page.locator("form.order");
		const said = (text: string) => this.page.getByText(text).filter({ visible: true }).count();
		while ((await said(order.taken)) === 0) {
			if (Date.now() > end) throw new Error(`not taken: ${await this.whatIsOpen()}`);
			if ((await said(order.refused)) > 0 && (await form.count()) > 0) {
				await form.getByRole("button", { name: order.give(order.works.polish) }).click();
			}
			await this.page.waitForTimeout(1_000);
		}
	}

	/** In the pairing dialog. @param readCode of whoever stands at the controller */
	async pair(readCode: () => string): Promise<void> {
		const dialog = this.page.getByRole("dialog");
		await dialog.getByRole("button", { name: live.pair.show }).click();
		await dialog.getByText(live.pair.shown).waitFor({ timeout: 10_000 });
		await dialog.getByLabel(live.pair.code).fill(readCode());
		await dialog.getByRole("button", { name: live.pair.pair, exact: true }).click();
		await dialog.waitFor({ state: "hidden", timeout: 10_000 });
	}

	/** The stop, which asks for nothing. */
	async stop(): Promise<void> {
		await this.page.getByRole("button", { name: live.stop.name }).first().click();
	}

	/** Whether dashes move in the picture's pipes. */
	async isFlowShown(): Promise<boolean> {
		return (await this.page.locator(".picture .is-flowing").count()) > 0;
	}

	/** Trips and reasons as they stand on it, for whoever asks why a story broke off. */
	async whatIsOpen(): Promise<string> {
		const texts = await this.page.locator(".trips, .reasons").allTextContents();
		return texts.join(" | ");
	}

	async close(): Promise<void> {
		await this.context.close();
	}
}
