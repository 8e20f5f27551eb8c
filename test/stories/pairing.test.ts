// The code that pairs a page: how long it lives, how often it may be tried, and how seldom a client
// that guesses finds one in a night.

import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { CODE_MS, Pairing, TRIES } from "../../firmware/link/pairing.ts";

const HOUR_MS = 3_600_000;

/** A controller's terminal at a time that the test sets. */
function terminal(codes: readonly string[] = ["123456"]) {
	const shown: Array<{ code: string; unused: number }> = [];
	const time = { nowMs: 5_000 };
	const pairing = new Pairing({
		draw: () => codes[shown.length % codes.length] ?? "",
		show: (code, unused) => shown.push({ code, unused }),
		clock: () => time.nowMs,
	});
	const wait = (ms: number) => {
		time.nowMs += ms;
	};
	return { pairing, shown, wait, time };
}

describe("a code", () => {
	it("is shown and never told, and pairs who types it in", () => {
		const { pairing, shown } = terminal();
		expect(pairing.show()).toEqual({ isShown: true, waitSeconds: 10 });
		expect(shown).toEqual([{ code: "123456", unused: 0 }]);
		expect(pairing.check("123456")).toEqual({ isRight: true, triesLeft: 0 });
	});

	it("is used up when it was right", () => {
		const { pairing } = terminal();
		pairing.show();
		pairing.check("123456");
		expect(pairing.check("123456")).toEqual({ isRight: false, triesLeft: 0 });
	});

	it("may be mistyped four times and no more", () => {
		const { pairing } = terminal();
		pairing.show();
		const left = Array.from({ length: TRIES - 1 }, () => pairing.check("654321").triesLeft);
		expect(left).toEqual([4, 3, 2, 1]);
		expect(pairing.check("123456").isRight).toBe(true);
		const { pairing: other } = terminal();
		other.show();
		for (let n = 0; n < TRIES; n += 1) other.check("654321");
		expect(other.check("123456")).toEqual({ isRight: false, triesLeft: 0 });
	});

	it("lives for three minutes", () => {
		const { pairing, wait } = terminal();
		pairing.show();
		wait(CODE_MS);
		expect(pairing.check("000000").triesLeft).toBe(4);
		wait(1);
		expect(pairing.check("123456")).toEqual({ isRight: false, triesLeft: 0 });
	});

	it("ends with the next one", () => {
		const { pairing, wait } = terminal(["111111", "222222"]);
		pairing.show();
		wait(10_000);
		pairing.show();
		expect(pairing.check("111111")).toEqual({ isRight: false, triesLeft: 4 });
		expect(pairing.check("222222").isRight).toBe(true);
	});

	it("is not there before somebody has asked", () => {
		expect(terminal().pairing.check("123456")).toEqual({ isRight: false, triesLeft: 0 });
	});
});

describe("asking for codes", () => {
	it("too soon shows none, and leaves the one before as it is", () => {
		const { pairing, shown, wait } = terminal();
		pairing.show();
		wait(3_001);
		expect(pairing.show()).toEqual({ isShown: false, waitSeconds: 7 });
		expect(shown.length).toBe(1);
		expect(pairing.check("123456").isRight).toBe(true);
	});

	it("waits longer for each that nobody used, and the terminal is told how many", () => {
		const { pairing, shown, wait } = terminal();
		const waits = Array.from({ length: 10 }, () => {
			const { isShown, waitSeconds } = pairing.show();
			expect(isShown).toBe(true);
			wait(waitSeconds * 1_000 - 1);
			expect(pairing.show().isShown).toBe(false);
			wait(1);
			return waitSeconds;
		});
		expect(waits).toEqual([10, 10, 10, 20, 40, 80, 160, 320, 600, 600]);
		expect(shown.map(({ unused }) => unused)).toEqual([0, 1, 2, 3, 4, 5, 6, 7, 8, 9]);
	});

	it("is as quick as at first after a pairing, and after two hours without a code", () => {
		const askedFive = () => {
			const made = terminal();
			for (let n = 0; n < 5; n += 1) made.wait(1_000 * made.pairing.show().waitSeconds);
			return made;
		};
		const paired = askedFive();
		paired.pairing.check("123456");
		expect(paired.pairing.show()).toEqual({ isShown: true, waitSeconds: 10 });
		const quiet = askedFive();
		quiet.wait(2 * HOUR_MS);
		expect(quiet.pairing.show()).toEqual({ isShown: true, waitSeconds: 10 });
		const busy = askedFive();
		busy.wait(HOUR_MS);
		expect(busy.pairing.show().waitSeconds).toBe(80);
	});
});

describe("a client that guesses", () => {
	/** Tries that it has in so many hours, resting for two hours after so many codes. */
	function tries(hours: number, codesAtATime: number): number {
		const { pairing, shown, wait, time } = terminal();
		const endMs = time.nowMs + hours * HOUR_MS;
		let count = 0;
		while (time.nowMs <= endMs) {
			const { isShown, waitSeconds } = pairing.show();
			while (isShown && pairing.check("654321").triesLeft > 0) count += 1;
			if (isShown) count += 1;
			wait(shown.length % codesAtATime === 0 ? 2 * HOUR_MS : waitSeconds * 1_000);
		}
		return count;
	}

	it("has the odds that are stated, however it takes its time", () => {
		const most = (hours: number) =>
			Math.max(...Array.from({ length: 200 }, (_, i) => tries(hours, i + 1)));
		const [night, day] = [most(12), most(24)];
		// The most that any order of haste and rest gives: 395 and 755.
		expect(night).toBeGreaterThan(370);
		expect(night).toBeLessThanOrEqual(395);
		expect(day).toBeLessThanOrEqual(755);
		for (const count of [night, day]) expect(count / 1e6).toBeLessThan(1 / 1_000);
	});

	it("never pairs by anything but the code that is shown now", () => {
		const step = fc.oneof(
			fc.record({ do: fc.constant("show" as const) }),
			fc.record({ do: fc.constant("wait" as const), ms: fc.integer({ min: 0, max: 700_000 }) }),
			// Near the codes that are drawn, so that old and used ones are among them.
			fc.record({ do: fc.constant("check" as const), code: fc.integer({ min: 0, max: 6 }) }),
		);
		const words = (n: number) => String(n).padStart(6, "0");
		let pairedEver = 0;
		fc.assert(
			fc.property(fc.array(step, { maxLength: 60 }), (steps) => {
				const { pairing, shown, wait, time } = terminal([0, 1, 2, 3, 4, 5, 6].map(words));
				let live: { code: string; untilMs: number; tries: number } | null = null;
				for (const one of steps) {
					if (one.do === "wait") wait(one.ms);
					else if (one.do === "show") {
						if (pairing.show().isShown) {
							const code = shown.at(-1)?.code ?? "";
							live = { code, untilMs: time.nowMs + CODE_MS, tries: TRIES };
						}
					} else {
						const isLive: boolean = live !== null && time.nowMs <= live.untilMs && live.tries > 0;
						const isRight = isLive && live?.code === words(one.code);
						expect(pairing.check(words(one.code)).isRight).toBe(isRight);
						if (isRight) pairedEver += 1;
						if (live !== null && isLive) live.tries -= 1;
						if (isRight) live = null;
					}
				}
			}),
			{ seed: 9, numRuns: 500 },
		);
		expect(pairedEver).toBeGreaterThan(20);
	});
});
