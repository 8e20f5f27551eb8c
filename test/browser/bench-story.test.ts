// The bench page's own story, without a server: water is poured in, the controller saves the day,
// people drain and acknowledge, the order finishes, and the saved file plays to the same run by the
// command line.

import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { BenchResult } from "../../sim/bench/judge.ts";
import { lees } from "../e2e/cli.ts";
import { openBench, order, press, saveScenario, speed, untilState } from "./bench-drive.ts";
import { launchChromium } from "./chromium.ts";

const TRIP_APART_S = 0.5;
const LITRES_SHARE = 1e-3;

let browser: Browser;
let folder: string;
beforeAll(async () => {
	browser = await launchChromium();
	folder = mkdtempSync(join(tmpdir(), "lees-page-"));
});
afterAll(async () => {
	await browser.close();
	rmSync(folder, { recursive: true });
});

/** A row of the truth's table: what was sensed, and what is so. */
async function truth(page: Page, name: string): Promise<string[]> {
	const table = page.getByRole("region", { name: "Truth beside what was sensed" }).last();
	const row = table.getByRole("row").filter({ has: page.getByRole("rowheader", { name }) });
	return row.getByRole("cell").allInnerTexts();
}

/** By the real command. */
function playedAgain(file: string): BenchResult {
	const ended = lees(["bench", file, "--json"]);
	expect(ended.stderr).toBe("");
	return JSON.parse(ended.stdout);
}

/** The file's story tells when each trip came in the page. */
function expectSameTrips(file: string, { trips }: BenchResult): void {
	const text = readFileSync(file, "utf8").replaceAll(/\s+/g, " ");
	const seen = [...text.matchAll(/([a-z-]+) at ([\d.]+) s/g)];
	expect(trips.map(({ code }) => code)).toEqual(seen.map(([, code]) => code));
	for (const [i, { atSeconds }] of trips.entries()) {
		expect(Math.abs(atSeconds - Number(seen[i]?.[2]))).toBeLessThanOrEqual(TRIP_APART_S);
	}
}

const litresIn = (text: string | undefined) => Number((text ?? "").replace(/[^\d.]/g, ""));

describe("the bench page", () => {
	it("pours water, sees the trip, drains, acknowledges, finishes, keeps the story", async () => {
		const { page, asked, errors, close } = await openBench(browser);
		await speed(page, "× 60");
		await order(page, 12);
		await untilState(page, /Polishing/);
		await press(page, "Pour the water in");
		await untilState(page, /Tripped/);
		await page.getByText("Acts now: Water fills the bowl past the probe.").waitFor();
		expect(await page.locator(".hazard.is-acting").allInnerTexts()).toEqual([
			expect.stringContaining("Water fills the bowl past the probe"),
		]);
		const [sensed, real] = await truth(page, "Water at the probe");
		expect([sensed, real]).toEqual(["yes", "yes"]);

		// The rest of the water comes up again; each time it is drained and acknowledged.
		await speed(page, "× 200");
		const state = page.getByRole("heading", { level: 1 });
		for (let i = 0; i < 30 && (await state.textContent())?.includes("Idle") !== true; i += 1) {
			if ((await state.textContent())?.includes("Tripped")) {
				await press(page, "Drain the bowl");
				await page.waitForTimeout(200);
				await press(page, "Fill the bowl");
				await page.waitForTimeout(200);
				await press(page, /^Hold the box/);
			}
			await page.waitForTimeout(1_500);
		}
		await untilState(page, /Idle/);
		await page.getByText("Run ended: finished.").waitFor();
		await press(page, "Pause");
		await page.getByText("stands still").waitFor();
		// The last frame is in.
		await page.waitForTimeout(1_500);
		const [logged, pumped] = await truth(page, "Pumped in this session");

		const file = join(folder, "water.bench.yaml");
		await saveScenario(page, file);
		expect(readFileSync(file, "utf8")).toContain("does: pour-water");
		const result = playedAgain(file);
		expect(result.expectations.filter(({ held }) => !held)).toEqual([]);
		expect(result.outcome).toBe("finished");
		expect(result.trips.map(({ code }) => code)).toContain("water-in-bowl");
		expectSameTrips(file, result);
		expect(Math.abs(result.truth.litresThroughPump / litresIn(pumped) - 1)).toBeLessThan(
			// Two digits after the point are shown.
			LITRES_SHARE + 0.005 / litresIn(pumped),
		);
		expect(litresIn(logged)).toBeGreaterThan(11);
		expect(asked).toEqual([]);
		expect(errors).toEqual([]);
		await close();
	});

	it("gives a file whose trips come within half a second, weather and faults and all", async () => {
		const { page, close, errors } = await openBench(browser);
		await speed(page, "× 60");
		await order(page, 30);
		await untilState(page, /Polishing/);
		await page.getByText("Sea and heel").click();
		await page.getByLabel("Roll to each side").fill("8");
		await page.getByText("Pump and motor").click();
		await page.getByLabel("Motor's wire off").check();
		await untilState(page, /Tripped/);
		await page.getByLabel("Motor's wire off").uncheck();
		await page.waitForTimeout(500);
		await press(page, "Press the box's button");
		await page.waitForTimeout(1_500);
		await press(page, "Pause");
		await page.waitForTimeout(1_500);
		const file = join(folder, "wire.bench.yaml");
		await saveScenario(page, file);
		const result = playedAgain(file);
		expect(result.expectations.filter(({ held }) => !held)).toEqual([]);
		expectSameTrips(file, result);
		expect(result.trips.map(({ code }) => code)).toEqual(["no-current"]);
		expect(errors).toEqual([]);
		await close();
	});
});
