// The leaky count as a table: up while seen, down at a fifth of that pace while not, still while
// the inputs say nothing; and the count without a leak, for times before a start.

import { describe, expect, it } from "vitest";
import { EMPTY_LEAKY, fill, hold, type Leaky } from "../../firmware/sense/leaky.ts";

const at = (ms: number, seen: boolean | null, atMs = 1_000): Leaky => ({ ms, atMs, seen });

it("is empty at first, with nothing seen", () => {
	expect(EMPTY_LEAKY).toEqual({ ms: 0, atMs: 0, seen: false });
});

describe("a second after the last tick, the count", () => {
	it.each<[string, Leaky, number]>([
		["grows by all of it where the last tick saw it", at(300, true), 1_300],
		["grows from nothing too", at(0, true), 1_000],
		["shrinks by a fifth where the last tick did not", at(300, false), 100],
		["shrinks to nothing and no further", at(150, false), 0],
		["stands still where the inputs said nothing", at(300, null), 300],
		["stands still at nothing too", at(0, null), 0],
	])("%s", (_, before, ms) => {
		for (const seen of [true, false, null]) {
			expect(fill(before, seen, 2_000)).toEqual({ ms, atMs: 2_000, seen });
		}
	});
});

describe("an empty count", () => {
	it("stays the same object while nothing is seen", () => {
		const empty = at(0, false);
		expect(fill(empty, false, 9_000)).toBe(empty);
	});

	it.each([true, null])("begins in the tick that says %s, whenever the one before was", (seen) => {
		expect(fill(at(0, false, 0), seen, 9_000)).toEqual({ ms: 0, atMs: 9_000, seen });
	});

	it("stays empty though the clock is set back", () => {
		for (const seen of [true, null]) {
			expect(fill(at(0, false, 9_000), seen, 1_000)).toEqual({ ms: 0, atMs: 1_000, seen });
		}
	});

	it("is a new one where the inputs have just come back", () => {
		expect(fill(at(0, null), false, 9_000)).toEqual({ ms: 0, atMs: 9_000, seen: false });
		expect(fill(at(0, true), false, 9_000)).toEqual({ ms: 8_000, atMs: 9_000, seen: false });
	});
});

it("an input that is bad for more than a sixth of the time fills it, and no other", () => {
	const after = (badMs: number, goodMs: number) => {
		let count = EMPTY_LEAKY;
		let nowMs = 0;
		for (let n = 0; n < 100; n += 1) {
			count = fill(count, true, nowMs);
			nowMs += badMs;
			count = fill(count, false, nowMs);
			nowMs += goodMs;
		}
		return fill(count, false, nowMs).ms;
	};
	expect(after(110, 500)).toBeCloseTo(100 * (110 - 500 / 5), 6);
	expect(after(100, 510)).toBe(0);
});

describe("the count without a leak", () => {
	it("is emptied by one good reading", () => {
		expect(hold(at(3_000, true), false, 2_000)).toBe(EMPTY_LEAKY);
	});

	it("counts what is bad, and stands while the inputs say nothing", () => {
		expect(hold(at(300, true), true, 2_000)).toEqual({ ms: 1_300, atMs: 2_000, seen: true });
		expect(hold(at(300, true), null, 2_000)).toEqual({ ms: 1_300, atMs: 2_000, seen: null });
		expect(hold(at(300, null), null, 2_000)).toEqual({ ms: 300, atMs: 2_000, seen: null });
	});
});
