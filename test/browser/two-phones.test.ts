// Two phones at one rig, and a controller that dies: one orders, both see it, the other stops it
// without a code; the controller is killed in mid-run, both say how old what they show is and that
// the pump is unknown, and both are up again with a controller that comes back.

import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { words } from "../../host/web/words/words.ts";
import { DESKTOP, launchChromium, PHONE } from "./chromium.ts";
import { Phone } from "./phone.ts";
import { WholeRig } from "./whole-rig.ts";

const { live, rig: said } = words();
const aged = new RegExp(live.age("[1-9]\\d*\\ss"));
const both = <T>(phones: readonly Phone[], does: (phone: Phone) => Promise<T>) =>
	Promise.all(phones.map(does));

describe("two phones at one rig", () => {
	const rig = new WholeRig();
	let browser: Browser;
	let phones: [Phone, Phone];
	beforeAll(async () => {
		[browser] = await Promise.all([launchChromium(), rig.start(null)]);
		phones = [
			await Phone.open(browser, rig.origin, PHONE),
			await Phone.open(browser, rig.origin, DESKTOP),
		];
	}, 60_000);
	afterAll(async () => {
		await browser?.close();
		await rig.end();
	}, 30_000);

	it("one orders, both see it pump", { timeout: 90_000 }, async () => {
		const [one] = phones;
		await both(phones, (phone) => phone.isIn(said.states.idle ?? "", 20));
		await one.orderPolish("20");
		await one.pair(() => rig.code());
		await one.isTaken(30);
		await both(phones, (phone) => phone.isIn(said.states.priming ?? "", 15));
		await both(phones, (phone) => phone.isIn(said.working.polish ?? "", 60));
		await both(phones, (phone) => phone.shows(/\sL of 20(\.0+)?\sL/, 5));
	});

	it("the other one, which has no code, stops it, and both see it", {
		timeout: 30_000,
	}, async () => {
		const [, other] = phones;
		await other.stop();
		await other.shows(live.stop.taken, 5);
		await both(phones, (phone) => phone.isIn(said.states.idle ?? "", 5));
		await both(phones, (phone) => phone.shows(live.state.off, 5));
	});

	it("the other one orders nothing without a code of its own", { timeout: 30_000 }, async () => {
		const [, other] = phones;
		await other.orderPolish("1");
		await other.page.getByRole("dialog").waitFor({ timeout: 5_000 });
		await other.page.getByRole("dialog").getByLabel(live.pair.code).fill("000000");
		const pair = other.page.getByRole("dialog").getByRole("button", { name: live.pair.pair });
		await pair.filter({ hasText: new RegExp(`^${live.pair.pair}$`) }).click();
		// No code is shown, so that none is right.
		await other.shows(live.pair.used, 5);
		expect(await other.state()).toContain(said.states.idle);
		await other.page.keyboard.press("Escape");
	});

	it("a controller that dies in mid-run: both say how old all is, and that the pump is unknown", {
		timeout: 90_000,
	}, async () => {
		const [one] = phones;
		await one.orderPolish("20");
		await one.isTaken(30);
		await both(phones, (phone) => phone.isIn(said.working.polish ?? "", 60));
		await rig.killController();
		await both(phones, (phone) => phone.shows(live.noController, 15));
		await both(phones, (phone) => phone.shows(live.state.was(live.state.on), 10));
		await both(phones, (phone) => phone.shows(aged, 10));
		await both(phones, (phone) => phone.shows(live.stop.away, 5));
		expect(await one.isFlowShown()).toBe(false);
	});

	it("and when it comes back, both are up, and tell of the run that was cut off", {
		timeout: 60_000,
	}, async () => {
		await rig.control();
		const { name = "" } = said.trips.interrupted ?? {};
		await both(phones, (phone) => phone.isIn(said.states.tripped ?? "", 30));
		await both(phones, (phone) => phone.shows(live.trip.heading(name), 5));
		await both(phones, (phone) => phone.shows(live.ageNow, 5));
		await both(phones, (phone) => phone.shows(live.trip.atBox, 5));
		expect(phones.flatMap(({ faults }) => faults)).toEqual([]);
	});
});
