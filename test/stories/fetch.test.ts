// Fetching a log over a line that loses frames: every record once and in order, whatever is lost;
// the line kept busy; what is lost asked for again, and little besides.

import { describe, expect, it } from "vitest";
import { Fetch, type Span } from "../../host/link/fetch.ts";
import { framesOf, leastMs, playFetch } from "./lossy-log.ts";

const LAST = 20_000;

/** In order, without a gap, each once. */
function expectAll(got: readonly Span[], last: number) {
	let next = 1;
	for (const { fromSeq, toSeq } of got) {
		expect(fromSeq).toBeLessThanOrEqual(next);
		expect(toSeq).toBeGreaterThanOrEqual(next);
		next = toSeq + 1;
	}
	expect(next).toBe(last + 1);
}

describe("a line that loses nothing", () => {
	it("is asked for each record once, and never idles", () => {
		const { got, frames, elapsedMs, fetch } = playFetch(LAST, { seed: 1, lost: 0 });
		expectAll(got, LAST);
		expect(frames).toBe(framesOf(LAST));
		expect(fetch.repeats).toBe(0);
		expect(elapsedMs).toBeLessThan(1.01 * leastMs(LAST));
	});

	it("that swaps neighbours asks again at times, and hands on in order", () => {
		const { got, fetch } = playFetch(LAST, { seed: 2, lost: 0, swapped: 0.01 });
		expectAll(got, LAST);
		expect(fetch.duplicates).toBeGreaterThan(0);
	});
});

describe("a line that loses", () => {
	it("2 % of its frames is busy with new ones for more than 95 % of the rest", () => {
		for (let seed = 10; seed < 20; seed += 1) {
			const { got, frames, framesLost, elapsedMs } = playFetch(LAST, { seed, lost: 0.02 });
			expectAll(got, LAST);
			expect(framesLost).toBeGreaterThan(20);
			expect(framesOf(LAST) / (frames - framesLost)).toBeGreaterThan(0.97);
			expect(elapsedMs).toBeLessThan(1.12 * leastMs(LAST));
		}
	});

	it("a third of everything still brings all of it", () => {
		for (let seed = 30; seed < 36; seed += 1) {
			expectAll(playFetch(3_000, { seed, lost: 0.33 }).got, 3_000);
		}
	});

	it("everything for a while goes on where it was", () => {
		const { got, elapsedMs } = playFetch(LAST, { seed: 3, lost: 0, deafMs: [10_000, 16_000] });
		expectAll(got, LAST);
		expect(elapsedMs).toBeLessThan(leastMs(LAST) + 8_500);
	});

	it("the first question, or the last frame and the word of the end", () => {
		expectAll(playFetch(500, { seed: 4, lost: 0, deafMs: [0, 1_000] }).got, 500);
		const endMs = leastMs(500);
		const end = playFetch(500, { seed: 5, lost: 0, deafMs: [endMs, endMs + 500] });
		expectAll(end.got, 500);
	});

	it("frames of a log that is followed", () => {
		expectAll(playFetch(5_000, { seed: 6, lost: 0.05 }, null).got, 5_000);
	});
});

describe("what waits for a hole", () => {
	it("is bounded: beyond it nothing more is asked for, and the hole is still filled", () => {
		const fetch = new Fetch<Span>({ from: 1, to: null, transfer: 1 }, 0);
		fetch.takeAsks();
		// The first frame never comes, however often it is asked for.
		let [asked, seq] = [0, 2];
		for (let nowMs = 0; nowMs < 60_000; nowMs += 40) {
			fetch.look(nowMs);
			for (const { method, params } of fetch.takeAsks()) {
				if (method === "log.more") asked += params.frames;
			}
			if (seq <= 48 + asked) {
				fetch.take(1, { fromSeq: seq, toSeq: seq }, nowMs);
				seq += 1;
			}
		}
		expect(asked).toBeLessThan(300);
		expect(fetch.takeReady()).toEqual([]);
		fetch.take(2, { fromSeq: 1, toSeq: 1 }, 60_000);
		expect(fetch.takeReady().length).toBeGreaterThan(150);
	});

	it("gives way to a batch that holds more of it, and drops what came before", () => {
		const fetch = new Fetch<Span>({ from: 5, to: 20, transfer: 1 }, 0);
		fetch.take(1, { fromSeq: 8, toSeq: 12 }, 1);
		fetch.take(1, { fromSeq: 3, toSeq: 4 }, 2);
		expect(fetch.duplicates).toBe(1);
		// A digest stands for samples of which some are here already.
		fetch.take(2, { fromSeq: 3, toSeq: 9 }, 3);
		expect(fetch.takeReady()).toEqual([
			{ fromSeq: 3, toSeq: 9 },
			{ fromSeq: 8, toSeq: 12 },
		]);
		expect(fetch.isDone).toBe(false);
	});
});
