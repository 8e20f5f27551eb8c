// The clock that goes on while the computer sleeps, does not mind the coarse clock's grain, and
// never goes back.

import { expect, it } from "vitest";
import { createBootClock } from "../../firmware/boot-clock.ts";

function clocks() {
	const fine = { ms: 1_000 };
	const asleep = { ms: 0 };
	// The coarse clock counts in steps of 10 ms from another origin.
	const coarse = () => Math.floor((50_000 + fine.ms + asleep.ms) / 10) * 10;
	const clock = createBootClock(() => fine.ms, coarse);
	return { fine, asleep, clock };
}

it("follows the fine clock while nobody sleeps", () => {
	const { fine, clock } = clocks();
	for (let n = 0; n < 1_000; n += 1) {
		fine.ms += 7;
		expect(clock()).toBe(fine.ms);
	}
});

it("adds what was slept, once", () => {
	const { fine, asleep, clock } = clocks();
	fine.ms += 100;
	clock();
	asleep.ms = 3_600_000;
	fine.ms += 100;
	expect(clock() - fine.ms).toBeGreaterThan(3_599_900);
	const first = clock() - fine.ms;
	fine.ms += 1_000;
	expect(clock() - fine.ms).toBe(first);
});

it("never goes back", () => {
	const { fine, asleep, clock } = clocks();
	let last = clock();
	for (let n = 0; n < 500; n += 1) {
		fine.ms += 13;
		if (n % 50 === 0) asleep.ms += 700;
		const now = clock();
		expect(now).toBeGreaterThan(last);
		last = now;
	}
});
