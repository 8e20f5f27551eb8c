// The whole of it as people have it: a phone is paired by the code on the controller's terminal,
// orders, and watches it pump; water comes; the bowl is drained and the trip acknowledged at the
// box; it goes on, finishes, and the report tells of it. All real: the stock image on an emulated
// board, controller, server, archive and Chromium.

import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { words } from "../../host/web/words/words.ts";
import { sleep } from "../e2e/live.ts";
import { launchChromium } from "./chromium.ts";
import { Phone } from "./phone.ts";
import { WholeRig } from "./whole-rig.ts";

const { live, rig: said } = words();
/** More than the sump takes under the probe, less than two sumps: it trips once. */
const WATER_ML = "300";
const LITRES = "1.5";

describe("a polish that meets water, from the order to the report", () => {
	const rig = new WholeRig();
	let browser: Browser;
	let phone: Phone;
	beforeAll(async () => {
		[browser] = await Promise.all([launchChromium(), rig.start(["--water-ml", WATER_ML])]);
		phone = await Phone.open(browser, rig.origin);
	}, 60_000);
	afterAll(async () => {
		await browser?.close();
		await rig.end();
	}, 30_000);

	it("shows an idle rig of now, that nobody has paired", { timeout: 60_000 }, async () => {
		await phone.isIn(said.states.idle ?? "", 20);
		await phone.shows(live.ageNow, 20);
		await phone.shows(live.order.caution.slice(0, 60), 10);
		expect(await phone.isFlowShown()).toBe(false);
	});

	it("takes an order after the code has been typed in, with horn and proofs first", {
		timeout: 60_000,
	}, async () => {
		await phone.orderPolish(LITRES);
		// Not before the code: nobody has been asked anything yet.
		expect(await phone.state()).toContain(said.states.idle);
		await phone.pair(() => rig.code());
		await phone.isTaken(30);
		await phone.isIn(said.states.priming ?? "", 15);
		expect(rig.live.pumpPowered()).toBe(false);
	});

	it("shows fuel that flows and litres that grow", { timeout: 90_000 }, async () => {
		await phone.isIn(said.working.polish ?? "", 60);
		await expect.poll(() => phone.isFlowShown(), { timeout: 15_000 }).toBe(true);
		expect(rig.live.pumpPowered()).toBe(true);
		await phone.shows(/0\.[1-9]\d*\sL of 1\.50*\sL/, 30);
	});

	it("stops for water, says what to do, and leaves the acknowledgement to the box", {
		timeout: 90_000,
	}, async () => {
		const name = said.trips["water-in-bowl"]?.name ?? "";
		await phone.shows(live.trip.heading(name), 60);
		await phone.isIn(said.states.tripped ?? "", 5);
		expect(rig.live.pumpPowered()).toBe(false);
		for (const step of said.trips["water-in-bowl"]?.steps ?? []) await phone.shows(step, 5);
		await phone.shows(live.trip.atBox, 5);
		await phone.shows(live.trip.notYet, 5);
		const buttons = phone.page.getByRole("button", { name: live.trip.acknowledge, exact: true });
		expect(await buttons.count()).toBe(0);
		// A press before the bowl is dry clears nothing.
		rig.live.do("press");
		await sleep(1.5);
		expect(await phone.state()).toContain(said.states.tripped);
	});

	it("goes on once the bowl is drained, refilled, and the box's button pressed", {
		timeout: 90_000,
	}, async () => {
		rig.live.do("drain");
		rig.live.do("fill");
		await expect
			.poll(() => phone.page.getByText(live.trip.notYet).count(), { timeout: 20_000 })
			.toBe(0);
		rig.live.do("press");
		await phone.isIn(said.states.priming ?? "", 10);
		await phone.isIn(said.working.polish ?? "", 60);
	});

	it("finishes, and the run stands there", { timeout: 90_000 }, async () => {
		await phone.isIn(said.states.idle ?? "", 60);
		await phone.shows(live.run.lastHeading, 5);
		await phone.shows(/1\.5\d*\sL/, 5);
		expect(rig.live.pumpPowered()).toBe(false);
		const truth = () => rig.live.edges().findLast((line) => line.truth !== undefined)?.truth;
		expect(truth()?.litresThroughPump).toBeGreaterThan(1.4);
	});

	it("is in the archive by itself, and in the season and its report", {
		timeout: 60_000,
	}, async () => {
		const ask = async (path: string) => (await fetch(rig.origin + path)).text();
		let rigName = "";
		let season = "";
		const end = Date.now() + 45_000;
		while (!season.includes("water-in-bowl") && Date.now() < end) {
			await sleep(0.5);
			[rigName = ""] = JSON.parse(await ask("/api/rigs")).rigs;
			if (rigName !== "") season = await ask(`/api/season?rig=${encodeURIComponent(rigName)}`);
		}
		expect(season).toContain("water-in-bowl");
		await phone.page.goto(`${rig.origin}/report.html?rig=${encodeURIComponent(rigName)}`);
		await phone.shows(rigName, 10);
		const text = (await phone.page.locator("body").textContent()) ?? "";
		expect(text).toMatch(/1\.5\d\d? ± /);
		expect(text).toContain(said.trips["water-in-bowl"]?.name ?? "no name");
		expect(phone.faults).toEqual([]);
	});
});
