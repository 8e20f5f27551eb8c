// Switches of the bench page: a few drawn faults each lead to one of the trips that their switch
// names, and those that nothing sees are told as that.

import fc from "fast-check";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import {
	type FaultGroup,
	faultGroups,
	type WorldFault,
} from "../../host/web/bench/fault-groups.ts";
import { en } from "../../host/web/words/en.ts";
import { type FaultRow, faultRows } from "../../sim/faults.ts";
import { type OpenBench, openBench, order, press, speed, untilState } from "./bench-drive.ts";
import { launchChromium } from "./chromium.ts";

const SEED = 20_261_126;
const DRAWN = 4;
/** They need somebody who comes back, or hours in which nothing else happens. */
const SLOW: readonly WorldFault[] = ["pump-worn", "controller-restarts"];

const all: readonly WorldFault[] = Object.values(faultGroups).flat();
const rowOf = (fault: WorldFault): FaultRow => faultRows[fault];
const seen = all.filter((fault) => rowOf(fault).trips.length > 0 && !SLOW.includes(fault));
const unseen = all.filter((fault) => rowOf(fault).trips.length === 0);
const drawn = fc.sample(fc.shuffledSubarray(seen, { minLength: DRAWN, maxLength: DRAWN }), {
	seed: SEED,
	numRuns: 1,
});

let browser: Browser;
let bench: OpenBench;
beforeAll(async () => {
	browser = await launchChromium();
	bench = await openBench(browser);
	for (const group of Object.keys(faultGroups) as FaultGroup[]) {
		// "Battery and charger" is a part of the world as well.
		await bench.page.getByText(en.bench.faults.groups[group], { exact: true }).last().click();
	}
}, 60_000);
afterAll(() => browser.close());

const switchOf = (page: Page, fault: WorldFault) =>
	page.getByLabel(en.bench.faults.names[fault], { exact: true });

describe("a fault's switch", () => {
	it.each(drawn.flat())(
		"%s leads to one of the trips that it names",
		async (fault) => {
			const { page } = bench;
			await press(page, "Begin again");
			await speed(page, "× 60");
			await order(page, 1_000);
			await untilState(page, /Polishing/);
			await switchOf(page, fault).check();
			await speed(page, "As fast as it can");
			await untilState(page, /Tripped/);
			const names = rowOf(fault).trips.map((code) => en.rig.trips[code]?.name ?? "");
			const box = page.locator(".fault").filter({ has: switchOf(page, fault) });
			for (const name of names) expect(await box.textContent()).toContain(name);
			const told = await page.locator(".trips").textContent();
			expect(names.some((name) => told?.includes(name))).toBe(true);
			expect(bench.errors).toEqual([]);
		},
		120_000,
	);

	it.each(unseen)("%s is told as one that nothing sees", async (fault) => {
		const { page } = bench;
		const box = page.locator(".fault").filter({ has: switchOf(page, fault) });
		expect(await box.textContent()).toContain(en.bench.faults.unseen);
		expect(await box.textContent()).toContain(rowOf(fault).unseen);
	});
});
