// Steps a second of the bench in a page, as fast as it can, beside the same engine in Node: rounds
// in turns, one of them idle while the other runs. Both pump the same clean order with its rests.

import { benchWorld } from "../../host/report/bench-world.ts";
import { BenchEngine } from "../../host/web/bench/engine.ts";
import { TICK_MS } from "../../sim/bench/session.ts";
import { openBench, order, press, simulatedMs, speed } from "../browser/bench-drive.ts";
import { launchChromium } from "../browser/chromium.ts";
import { type Figure, median } from "./table.ts";

/** Of Node's steps a second. */
const GOAL = 0.5;
const ROUNDS = 5;
const ROUND_MS = 3_000;
/** More than is pumped while it is measured; no order may be for more than 100,000. */
const LITRES = 90_000;
const TICKS_A_LOOK = 500;

interface PageSpeed {
	readonly rows: string[][];
	readonly figure: Figure;
}

/** @throws Error when a page does not open, or nothing goes on in it */
export async function timePage(root: string): Promise<PageSpeed> {
	const browser = await launchChromium();
	try {
		const { page } = await openBench(browser);
		await speed(page, "× 60");
		await order(page, LITRES);
		const node = engineAtWork(root);
		const inPage = async () => {
			await speed(page, "As fast as it can");
			const [fromMs, wall] = [await simulatedMs(page), performance.now()];
			await page.waitForTimeout(ROUND_MS);
			const [toMs, now] = [await simulatedMs(page), performance.now()];
			await press(page, "Pause");
			return (toMs - fromMs) / TICK_MS / ((now - wall) / 1_000);
		};
		// The first of each compiles the code and is not counted.
		await inPage();
		node();
		const pairs: Array<{ page: number; node: number }> = [];
		for (let round = 0; round < ROUNDS; round += 1) {
			pairs.push({ page: await inPage(), node: node() });
		}
		return told(pairs);
	} finally {
		await browser.close();
	}
}

/** @returns runs it for one round, and tells its steps a second */
function engineAtWork(root: string): () => number {
	const world = benchWorld(root);
	const [start] = world.starts;
	if (start === undefined) throw new Error("the bench has no beginning");
	const engine = new BenchEngine(world, start);
	engine.do({ kind: "crew", act: { does: "arm" } });
	for (let tick = 0; tick < 100; tick += 1) engine.tick();
	const work = { tank: "port", litres: LITRES, attended: false };
	engine.do({ kind: "order", work: { polish: work } });
	return () => {
		const from = performance.now();
		let ticks = 0;
		while (performance.now() - from < ROUND_MS) {
			for (let i = 0; i < TICKS_A_LOOK; i += 1) engine.tick();
			ticks += TICKS_A_LOOK;
		}
		return ticks / ((performance.now() - from) / 1_000);
	};
}

function told(pairs: ReadonlyArray<{ page: number; node: number }>): PageSpeed {
	const whole = (number: number) => Math.round(number).toLocaleString("en");
	const ratio = median(pairs.map((pair) => pair.page / pair.node));
	const page = median(pairs.map((pair) => pair.page));
	const node = median(pairs.map((pair) => pair.node));
	const figure: Figure = {
		what: "bench in a page",
		shown: `${whole(page)} steps/s (median of ${pairs.length})`,
		goal: `at least ${GOAL.toFixed(1)} of Node's`,
		met: ratio >= GOAL,
		peer: `${whole(node)} steps/s in Node`,
		ratio,
	};
	const rows = [
		["round", "page, steps/s", "Node, steps/s", "ratio"],
		...pairs.map((pair, i) => [
			String(i + 1),
			whole(pair.page),
			whole(pair.node),
			(pair.page / pair.node).toFixed(2),
		]),
	];
	return { rows, figure };
}
