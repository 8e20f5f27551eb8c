// A day and a night of pumping in the bench page: neither the page nor its thread grows. What is
// weighed is what a forced collection leaves.

import { expect, it } from "vitest";
import { openBench, order, press, simulatedMs, speed, untilState } from "./bench-drive.ts";
import { launchChromium } from "./chromium.ts";
import { HeapScale } from "./heap.ts";

const HOUR_MS = 3_600_000;
const GROWS_BYTES_MAX = 10e6;

it("24 simulated hours leave no more than 10 MB behind", async () => {
	const browser = await launchChromium();
	try {
		const { page, errors } = await openBench(browser);
		const scale = await HeapScale.of(page);
		await speed(page, "As fast as it can");
		// It goes on by itself after the pump's rests, for 25 hours.
		await order(page, 1_500);
		await untilState(page, /Polishing|Resting/);
		const reach = async (ms: number) => {
			for (;;) {
				const now = await simulatedMs(page);
				if (now >= ms) return now;
				await page.waitForTimeout(200);
			}
		};
		const fromMs = await reach(HOUR_MS);
		await press(page, "Pause");
		const before = await scale.weigh();
		await press(page, "Go on");
		await reach(fromMs + 24 * HOUR_MS);
		await press(page, "Pause");
		const after = await scale.weigh();
		const grown = {
			page: after.pageBytes - before.pageBytes,
			worker: after.workerBytes - before.workerBytes,
		};
		console.log(`grown in 24 h, bytes: page ${grown.page}, worker ${grown.worker}`);
		expect(grown.page + grown.worker).toBeLessThan(GROWS_BYTES_MAX);
		expect(before.workerBytes).toBeGreaterThan(1e5);
		expect(errors).toEqual([]);
	} finally {
		await browser.close();
	}
}, 400_000);
